# Takes the library into a Makefile:
#
#   OHMWRIGHT_TARGET = thumbv7em-none-eabihf
#   include path/to/examples/c_interface/ohmwright.mk
#   app.elf: $(OBJECTS) $(OHMWRIGHT_LIBRARY)
#           $(CC) … $(OBJECTS) $(OHMWRIGHT_LIBRARY) -lgcc
#
# with $(OHMWRIGHT_CFLAGS) among the flags of the compiler. Needs cargo, and `rustup target add` for the target.

# Rust's name of the core.
OHMWRIGHT_TARGET ?= thumbv6m-none-eabi
# s; z for the smallest code, 3 for the fastest.
OHMWRIGHT_LEVEL ?= s

OHMWRIGHT_HERE := $(patsubst %/,%,$(dir $(lastword $(MAKEFILE_LIST))))
# Where cargo builds.
OHMWRIGHT_BUILD ?= $(OHMWRIGHT_HERE)/target
OHMWRIGHT_CFLAGS = -I$(OHMWRIGHT_HERE)/include
OHMWRIGHT_LIBRARY = $(OHMWRIGHT_BUILD)/$(OHMWRIGHT_TARGET)/release/libohmwright_c.a

# Cargo knows what has changed: ask it each time. It leaves the file alone where nothing has.
$(OHMWRIGHT_LIBRARY): ohmwright-always
	CARGO_PROFILE_RELEASE_OPT_LEVEL=$(OHMWRIGHT_LEVEL) cargo build --quiet --release --lib \
	  --manifest-path $(OHMWRIGHT_HERE)/Cargo.toml --target $(OHMWRIGHT_TARGET) --target-dir $(OHMWRIGHT_BUILD)

.PHONY: ohmwright-always
ohmwright-always:
