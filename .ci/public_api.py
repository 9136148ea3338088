#!/usr/bin/env python3
"""The public API as a list, a line an item, from the JSON that rustdoc writes.

    .ci/public_api.py            compares it with .ci/public_api.txt, and prints the difference
    .ci/public_api.py --accept   writes .ci/public_api.txt anew: look at the difference before you commit it

What a line loses or changes may break a user: CHANGELOG.md says it, and the version number follows (semantic
versioning). The format of the JSON belongs to one version of the compiler; another one is said and nothing compared.
"""

import difflib
import json
import os
import pathlib
import subprocess
import sys

KNOWN_FORMAT = 57
ROOT = pathlib.Path(__file__).resolve().parent.parent
# Modules of second names.
FAMILIES = ("double", "fixed_point", "floating", "small_fixed_point")
LIST = ROOT / ".ci" / "public_api.txt"


def document():
    target = pathlib.Path(os.environ.get("CARGO_TARGET_DIR", ROOT / "target")) / "public_api"
    subprocess.run(
        ["cargo", "rustdoc", "--quiet", "--lib", "--all-features", "--target-dir", target]
        + ["--", "-Z", "unstable-options", "--output-format", "json"],
        cwd=ROOT,
        env={**os.environ, "RUSTC_BOOTSTRAP": "1"},
        check=True,
    )
    return json.loads((target / "doc" / "ohmwright.json").read_text())


def kind(inner):
    return next(iter(inner))


class Listing:
    def __init__(self, crate):
        self.index = crate["index"]
        self.lines = set()
        self.module(self.index[str(crate["root"])], "ohmwright", [])

    def item(self, identity):
        return self.index.get(str(identity))

    # --- types, as they are written ---------------------------------------------------------------------------

    def arguments(self, args):
        if not args:
            return ""
        if "angle_bracketed" in args:
            parts = [self.argument(part) for part in args["angle_bracketed"]["args"]]
            for constraint in args["angle_bracketed"]["constraints"]:
                binding = constraint["binding"]
                parts.append(constraint["name"] + " = " + self.term(binding.get("equality", {})))
            return "<" + ", ".join(parts) + ">" if parts else ""
        inputs = ", ".join(self.type(one) for one in args["parenthesized"]["inputs"])
        output = args["parenthesized"]["output"]
        return f"({inputs})" + (f" -> {self.type(output)}" if output else "")

    def term(self, term):
        return self.type(term["type"]) if "type" in term else str(term.get("constant", {}).get("expr", "_"))

    def argument(self, part):
        if part == "infer":
            return "_"
        inner = part[kind(part)]
        return {"type": self.type, "lifetime": str, "const": lambda it: it["expr"]}[kind(part)](inner)

    def bounds(self, bounds):
        names = []
        for bound in bounds:
            if "trait_bound" in bound:
                trait = bound["trait_bound"]["trait"]
                names.append(trait["path"].split("::")[-1] + self.arguments(trait["args"]))
            elif "outlives" in bound:
                names.append(bound["outlives"])
            else:
                names.append("use<…>")
        return " + ".join(names)

    def type(self, it):
        if it is None:
            return "()"
        inner = it[kind(it)]
        match kind(it):
            case "resolved_path":
                return inner["path"].split("::")[-1] + self.arguments(inner["args"])
            case "generic" | "primitive":
                return inner
            case "borrowed_ref":
                lifetime = f"{inner['lifetime']} " if inner["lifetime"] else ""
                return f"&{lifetime}{'mut ' if inner['is_mutable'] else ''}{self.type(inner['type'])}"
            case "tuple":
                return "(" + ", ".join(self.type(one) for one in inner) + ")"
            case "slice":
                return f"[{self.type(inner)}]"
            case "array":
                return f"[{self.type(inner['type'])}; {inner['len']}]"
            case "impl_trait":
                return "impl " + self.bounds(inner)
            case "dyn_trait":
                return "dyn " + " + ".join(one["trait"]["path"].split("::")[-1] for one in inner["traits"])
            case "qualified_path":
                return f"{self.type(inner['self_type'])}::{inner['name']}"
            case "function_pointer":
                inputs = ", ".join(self.type(one) for _, one in inner["sig"]["inputs"])
                return f"fn({inputs}) -> {self.type(inner['sig']['output'])}"
        raise SystemExit(f"public_api: a type of kind {kind(it)} is new here")

    def generics(self, generics):
        names = []
        for parameter in generics["params"]:
            what = parameter["kind"]
            if "type" in what:
                if what["type"]["is_synthetic"]:
                    continue
                bounds = self.bounds(what["type"]["bounds"])
                names.append(parameter["name"] + (f": {bounds}" if bounds else ""))
            elif "const" in what:
                names.append(f"const {parameter['name']}: {self.type(what['const']['type'])}")
            else:
                names.append(parameter["name"])
        return "<" + ", ".join(names) + ">" if names else ""

    def function(self, item, name):
        it = item["inner"]["function"]
        inputs = ", ".join(f"{given}: {self.type(of)}" for given, of in it["sig"]["inputs"])
        output = it["sig"]["output"]
        constant = "const " if it["header"]["is_const"] else ""
        returned = f" -> {self.type(output)}" if output else ""
        self.lines.add(f"{constant}fn {name}{self.generics(it['generics'])}({inputs}){returned}")

    # --- items --------------------------------------------------------------------------------------------------

    @staticmethod
    def is_public(item):
        hidden = any("hidden" in str(attribute) for attribute in item["attrs"])
        return item["visibility"] in ("public", "default") and not hidden

    def module(self, item, path, seen):
        for identity in item["inner"]["module"]["items"]:
            child = self.item(identity)
            if child is None or not self.is_public(child) or identity in seen:
                continue
            self.entry(child, path, child["name"], [*seen, identity])

    def entry(self, child, path, name, seen):
        inner = child["inner"]
        what = kind(inner)
        full = f"{path}::{name}"
        if what == "use":
            used = inner["use"]
            target = self.item(used["id"])
            if path.split("::")[-1] in FAMILIES:
                # A second name: the item itself is listed under its own.
                self.lines.add(f"use {path}::{used['name']}")
            elif target is None:
                self.lines.add(f"use {path}::{used['name']} = {used['source']}")
            elif kind(target["inner"]) == "module" or self.is_public(target):
                self.entry(target, path, used["name"], seen)
        elif what == "module":
            self.lines.add(f"mod {full}")
            self.module(child, full, seen)
        elif what == "function":
            self.function(child, full)
        elif what in ("struct", "enum"):
            mark = "#[non_exhaustive] " if "non_exhaustive" in str(child["attrs"]) else ""
            self.lines.add(f"{mark}{what} {full}{self.generics(inner[what]['generics'])}")
            self.parts(inner[what], full)
            self.implementations(inner[what]["impls"], full)
        elif what == "trait":
            self.lines.add(f"trait {full}{self.generics(inner['trait']['generics'])}: {self.bounds(inner['trait']['bounds'])}")
            self.members(inner["trait"]["items"], full)
        elif what == "type_alias":
            self.lines.add(f"type {full}{self.generics(inner[what]['generics'])} = {self.type(inner[what]['type'])}")
        elif what == "constant":
            self.lines.add(f"const {full}: {self.type(inner['constant']['type'])}")
        else:
            self.lines.add(f"{what} {full}")

    def parts(self, it, full):
        members = it.get("variants")
        if members is None:
            members = it["kind"]["plain"]["fields"] if "plain" in it["kind"] else []
        for identity in members:
            part = self.item(identity)
            if part is None or not self.is_public(part):
                continue
            inner = part["inner"]
            if "struct_field" in inner:
                self.lines.add(f"field {full}.{part['name']}: {self.type(inner['struct_field'])}")
            else:
                shape = inner["variant"]["kind"]
                if shape == "plain":
                    held = ""
                elif "tuple" in shape:
                    held = [self.item(one) for one in shape["tuple"] if one is not None]
                    held = "(" + ", ".join(self.type(one["inner"]["struct_field"]) for one in held if one) + ")"
                else:
                    held = [self.item(one) for one in shape["struct"]["fields"]]
                    fields = (f"{one['name']}: {self.type(one['inner']['struct_field'])}" for one in held if one)
                    held = " { " + ", ".join(fields) + " }"
                self.lines.add(f"variant {full}::{part['name']}{held}")

    def members(self, items, full):
        for identity in items:
            member = self.item(identity)
            if member is None or not self.is_public(member):
                continue
            inner = member["inner"]
            if "function" in inner:
                self.function(member, f"{full}::{member['name']}")
            elif "assoc_const" in inner:
                self.lines.add(f"const {full}::{member['name']}: {self.type(inner['assoc_const']['type'])}")
            elif "assoc_type" in inner:
                self.lines.add(f"type {full}::{member['name']}")

    def implementations(self, impls, full):
        traits = set()
        for identity in impls:
            block = self.item(identity)
            if block is None:
                continue
            it = block["inner"]["impl"]
            if it["trait"] is None:
                self.members(it["items"], full)
            elif not it["is_synthetic"] and it["blanket_impl"] is None:
                trait = it["trait"]["path"].split("::")[-1] + self.arguments(it["trait"]["args"])
                if trait.startswith("Structural"):
                    continue
                of = self.type(it["for"])
                # Of a whole generic type, or of it in one family.
                family = of[of.find("<") :] if "<A>" not in of and "<F>" not in of and "<" in of else ""
                traits.add(trait + (f" for {family}" if family else ""))
        if traits:
            self.lines.add(f"impls {full}: " + ", ".join(sorted(traits)))


def main():
    crate = document()
    if crate["format_version"] != KNOWN_FORMAT:
        print(f"SKIPPED: rustdoc writes format {crate['format_version']}, and this reads {KNOWN_FORMAT}")
        return 0
    lines = sorted(Listing(crate).lines)
    # A control: a listing that has lost its functions is no listing.
    assert sum(" fn " in f" {line}" for line in lines) > 500, "the listing is blind"
    if sys.argv[1:] == ["--accept"]:
        LIST.write_text("\n".join(lines) + "\n")
        print(f"{len(lines)} items written")
        return 0
    held = LIST.read_text().splitlines() if LIST.exists() else []
    difference = [line for line in difflib.unified_diff(held, lines, "accepted", "now", n=0, lineterm="") if line[:2] != "@@"]
    print("\n".join(difference) if difference else f"{len(lines)} items, as accepted")
    return 1 if difference else 0


if __name__ == "__main__":
    sys.exit(main())
