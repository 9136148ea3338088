//! Setters of settings, so that a setting which is added later breaks nobody.

/// Inside an `impl`: for each field a method that gives the same settings with another value there.
macro_rules! setters {
    ($($setter:ident($field:ident: $type:ty);)*) => {$(
        #[doc = concat!("The same with another [`", stringify!($field), "`](Self::", stringify!($field), ").")]
        #[must_use]
        pub const fn $setter(mut self, $field: $type) -> Self {
            self.$field = $field;
            self
        }
    )*};
}
