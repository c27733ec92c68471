//! Choices: one word of a few, and objects whose keys hang on such a word.

use serde_json::Value;

use super::pointer::Pointer;
use super::refusal::Refusal;

/// A word of a few; [`choice!`] writes it.
pub trait ChoiceText: Copy + Sized + 'static {
    /// Every choice with its word, in declared order.
    const ALL: &'static [(Self, &'static str)];

    /// The word.
    fn as_str(self) -> &'static str;

    /// The choice of a word.
    #[must_use]
    fn from_word(word: &str) -> Option<Self> {
        Self::ALL
            .iter()
            .find(|(_, known)| *known == word)
            .map(|(choice, _)| *choice)
    }
}

/// The choice a value names.
///
/// # Errors
/// `unknown_choice`, listing the words.
pub fn read_choice<C: ChoiceText>(value: &Value, at: &Pointer) -> Result<C, Refusal> {
    value
        .as_str()
        .map(str::trim)
        .and_then(C::from_word)
        .ok_or_else(|| {
            let words: Vec<&str> = C::ALL.iter().map(|(_, word)| *word).collect();
            Refusal::unknown_choice(
                at,
                format!("This is none of the choices. Write one of: {}.", words.join(", ")),
            )
        })
}

/// Declares a choice: `choice! { /// doc pub enum Name { /// doc Variant = "word", ... } }`.
macro_rules! choice {
    (
        $(#[$meta:meta])*
        pub enum $name:ident {
            $( $(#[$variant_meta:meta])* $variant:ident = $word:literal ),* $(,)?
        }
    ) => {
        $(#[$meta])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize)]
        pub enum $name {
            $( $(#[$variant_meta])* #[serde(rename = $word)] $variant, )*
        }

        impl $crate::form::ChoiceText for $name {
            const ALL: &'static [(Self, &'static str)] = &[ $( (Self::$variant, $word) ),* ];
            fn as_str(self) -> &'static str {
                match self { $( Self::$variant => $word ),* }
            }
        }

        impl $crate::form::Field for $name {
            fn read(
                value: &serde_json::Value,
                at: &$crate::form::Pointer,
                _: &$crate::form::Rule,
            ) -> Result<Self, $crate::form::Refusal> {
                $crate::form::read_choice(value, at)
            }

            fn schema(_: &$crate::form::Rule) -> serde_json::Value {
                serde_json::json!({ "enum": [ $( $word ),* ] })
            }
        }
    };
}
pub(crate) use choice;

/// Declares an object whose keys hang on the word behind one key:
/// `tagged! { /// doc pub enum Input by "task" { /// doc Size(Size) = "size_for_input", ... } }`.
/// A key that belongs to another word is `unknown_key`. With `by "task" or "size_for_input"` an absent key
/// stands for that word.
macro_rules! tagged {
    (
        $(#[$meta:meta])*
        pub enum $name:ident by $tag:literal $(or $default:literal)? {
            $( $(#[$variant_meta:meta])* $variant:ident($record:ty) = $word:literal ),* $(,)?
        }
    ) => {
        $(#[$meta])*
        #[derive(Clone, Debug, PartialEq)]
        pub enum $name {
            $( $(#[$variant_meta])* $variant($record), )*
        }

        impl $crate::form::Field for $name {
            fn read(
                value: &serde_json::Value,
                at: &$crate::form::Pointer,
                _: &$crate::form::Rule,
            ) -> Result<Self, $crate::form::Refusal> {
                let word = match value.get($tag) {
                    None | Some(serde_json::Value::Null) => [$( $default )?].first().copied(),
                    Some(word) => word.as_str().map(str::trim),
                };
                match word {
                    $( Some($word) => {
                        let mut keys = vec![$tag];
                        keys.extend(<$record as $crate::form::Record>::keys());
                        let map = $crate::form::Object::open(value, at, &keys)?;
                        <$record as $crate::form::Record>::read_keys(map, at).map(Self::$variant)
                    } )*
                    _ => {
                        let mut keys = vec![$tag];
                        $( keys.extend(<$record as $crate::form::Record>::keys()); )*
                        let map = $crate::form::Object::open(value, at, &keys)?;
                        let at = at.key($tag);
                        let words = [ $( $word ),* ].join(", ");
                        Err(match map.get($tag) {
                            None | Some(serde_json::Value::Null) => $crate::form::Refusal::missing(
                                &at, format!("This is needed and not given. Write one of: {words}."),
                            ),
                            Some(_) => $crate::form::Refusal::unknown_choice(
                                &at, format!("This is none of the choices. Write one of: {words}."),
                            ),
                        })
                    }
                }
            }

            fn schema(_: &$crate::form::Rule) -> serde_json::Value {
                let fallback: &[&str] = &[$( $default )?];
                let branches: Vec<serde_json::Value> = vec![ $( {
                    let mut object = $crate::form::Described::default();
                    object.add($tag, serde_json::json!({ "const": $word }), fallback.contains(&$word));
                    <$record as $crate::form::Record>::describe(&mut object);
                    object.finish()
                } ),* ];
                serde_json::json!({ "oneOf": branches })
            }
        }
    };
}
pub(crate) use tagged;
