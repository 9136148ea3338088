//! How types that keep a rule are written and read by `serde` (feature of that name): by their parts, and through the
//! constructor that checks them, so that nothing comes in from a file that could not be built.

/// Inside the module of the type: its parts, how each is told, and the constructor. One part by itself is written as it is.
macro_rules! checked_form {
    ([$($generics:tt)*] $type:ident<$($argument:ident),*>, $this:ident: $kind:ty = $told:expr, $value:pat => $made:expr) => {
        #[cfg(feature = "serde")]
        impl<$($generics)*> serde::Serialize for $type<$($argument),*> {
            fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
                let $this = self;
                <$kind as serde::Serialize>::serialize(&$told, serializer)
            }
        }

        /// Through the constructor: what it refuses cannot be read.
        #[cfg(feature = "serde")]
        impl<'de, $($generics)*> serde::Deserialize<'de> for $type<$($argument),*> {
            fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
                let $value = <$kind as serde::Deserialize>::deserialize(deserializer)?;
                $made.map_err(serde::de::Error::custom)
            }
        }
    };
    ([$($generics:tt)*] $type:ident<$($argument:ident),*>, $this:ident {
        $($part:ident: $kind:ty = $told:expr),+ $(,)?
    } => $made:expr) => {
        #[cfg(feature = "serde")]
        const _: () = {
            #[derive(serde::Serialize, serde::Deserialize)]
            #[serde(bound = "")]
            struct Parts<$($generics)*> {
                $($part: $kind),+
            }

            checked_form! {
                [$($generics)*] $type<$($argument),*>,
                $this: Parts<$($argument),*> = Parts { $($part: $told),+ },
                Parts { $($part),+ } => $made
            }
        };
    };
}
