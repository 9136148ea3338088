//! The families of numbers that can be chosen.

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Numbers {
    Fixed32,
    Fixed16,
    F32,
    F64,
}

impl Numbers {
    pub fn name(self) -> &'static str {
        match self {
            Self::Fixed32 => "fixed32",
            Self::Fixed16 => "fixed16",
            Self::F32 => "f32",
            Self::F64 => "f64",
        }
    }

    /// What `--arithmetic` was given.
    pub fn parse(given: &str) -> Result<Self, String> {
        [Self::Fixed32, Self::Fixed16, Self::F32, Self::F64]
            .into_iter()
            .find(|numbers| numbers.name() == given)
            .ok_or_else(|| format!("--arithmetic: {given:?} is none of fixed32, fixed16, f32, f64"))
    }
}
