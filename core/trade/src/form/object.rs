//! Objects with declared keys.

use serde_json::{Map, Value, json};

use super::field::Field;
use super::pointer::Pointer;
use super::refusal::Refusal;
use super::rule::Rule;

/// An object with declared keys; [`input!`] writes it.
pub trait Record: Sized {
    /// The keys in declared order.
    fn keys() -> Vec<&'static str>;

    /// Reads the declared keys in their order; unknown keys were refused before.
    ///
    /// # Errors
    /// The first key that is wrong.
    fn read_keys(map: &Map<String, Value>, at: &Pointer) -> Result<Self, Refusal>;

    /// Adds the keys to a schema.
    fn describe(object: &mut Described);
}

/// The schema of an object while it is put together.
#[derive(Debug, Default)]
pub struct Described {
    properties: Map<String, Value>,
    required: Vec<&'static str>,
    order: Vec<&'static str>,
}

impl Described {
    /// Adds one key.
    pub fn add(&mut self, key: &'static str, mut schema: Value, may_be_absent: bool) {
        self.order.push(key);
        if may_be_absent {
            let (description, default) = match &mut schema {
                Value::Object(schema) => (schema.remove("description"), schema.remove("default")),
                _ => (None, None),
            };
            schema = json!({ "anyOf": [schema, { "type": "null" }] });
            if let Value::Object(schema) = &mut schema {
                schema.extend(description.map(|words| ("description".to_owned(), words)));
                schema.extend(default.map(|value| ("default".to_owned(), value)));
            }
        } else {
            self.required.push(key);
        }
        self.properties.insert(key.to_owned(), schema);
    }

    /// The finished schema.
    #[must_use]
    pub fn finish(self) -> Value {
        json!({
            "type": "object",
            "properties": self.properties,
            "required": self.required,
            "additionalProperties": false,
            "x-order": self.order,
        })
    }
}

/// The whole schema of an object.
#[must_use]
pub fn described<R: Record>() -> Value {
    let mut object = Described::default();
    R::describe(&mut object);
    object.finish()
}

/// An object whose keys are checked against those declared.
pub struct Object;

impl Object {
    /// The object, after refusing anything else and any key that is not known.
    ///
    /// # Errors
    /// `missing` when it is no object, `unknown_key`.
    pub fn open<'a>(
        value: &'a Value,
        at: &Pointer,
        known: &[&'static str],
    ) -> Result<&'a Map<String, Value>, Refusal> {
        let Value::Object(map) = value else {
            return Err(Refusal::missing(at, "An object in braces is needed here."));
        };
        match map.keys().find(|key| !known.contains(&key.as_str())) {
            Some(key) => Err(Refusal::unknown_key(
                at.key(key),
                format!("This key is not known here. Known are: {}.", known.join(", ")),
            )),
            None => Ok(map),
        }
    }
}

/// A group of keys that lies flat among the keys of another object, such as the site's altitude and
/// barometer.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Flat<R>(pub R);

impl<R> std::ops::Deref for Flat<R> {
    type Target = R;
    fn deref(&self) -> &R {
        &self.0
    }
}

impl<R: Record> Field for Flat<R> {
    fn read(value: &Value, at: &Pointer, _: &Rule) -> Result<Self, Refusal> {
        R::read_keys(Object::open(value, at, &R::keys())?, at).map(Self)
    }

    fn schema(_: &Rule) -> Value {
        described::<R>()
    }

    fn take(map: &Map<String, Value>, _: &str, at: &Pointer, _: &Rule) -> Result<Self, Refusal> {
        R::read_keys(map, at).map(Self)
    }

    fn keys(_: &'static str, keys: &mut Vec<&'static str>) {
        keys.extend(R::keys());
    }

    fn describe(_: &'static str, _: &str, _: &Rule, object: &mut Described) {
        R::describe(object);
    }
}

/// Which one of several alternative keys is given.
///
/// # Errors
/// `missing` at the first key when none is given, `inconsistent` at the second one given.
pub fn exactly_one(at: &Pointer, keys: &[(&str, bool)]) -> Result<usize, Refusal> {
    let names = || keys.iter().map(|(key, _)| *key).collect::<Vec<_>>().join(", ");
    let mut given = keys.iter().enumerate().filter(|(_, (_, there))| *there);
    let first = given.next();
    if let Some((_, (second, _))) = given.next() {
        let message = format!(
            "Only one of these is given at a time: {}. Leave the others out.",
            names()
        );
        return Err(Refusal::inconsistent(at.key(second), message));
    }
    match (first, keys.first()) {
        (Some((place, _)), _) => Ok(place),
        (None, Some((key, _))) => Err(Refusal::missing(
            at.key(key),
            format!("One of these is needed: {}. Add one.", names()),
        )),
        (None, None) => Ok(0),
    }
}

/// Declares an input object: its keys in order, each with its type and, after `=`, its rule.
///
/// ```text
/// input! {
///     /// What goes down which flue.
///     pub struct Input {
///         /// Length all round each liner.
///         pub clearance: Length = within(0.0, 0.1).or("13 mm"),
///         /// Inside diameter, when it is not the outside one.
///         pub exhaust_inside: Option<Length> = within(0.025, 0.6),
///     }
/// }
/// ```
/// Reading, refusals, bounds, fallbacks and the JSON Schema all come from this one declaration.
macro_rules! input {
    (
        $(#[$meta:meta])*
        pub struct $name:ident {
            $( $(#[doc = $doc:literal])* pub $key:ident : $type:ty $(= $rule:expr)? ),* $(,)?
        }
    ) => {
        $(#[$meta])*
        #[derive(Clone, Debug, PartialEq)]
        pub struct $name {
            $( $(#[doc = $doc])* pub $key: $type, )*
        }

        impl $crate::form::Record for $name {
            fn keys() -> Vec<&'static str> {
                let mut keys = Vec::new();
                $( <$type as $crate::form::Field>::keys(stringify!($key), &mut keys); )*
                keys
            }

            fn read_keys(
                map: &serde_json::Map<String, serde_json::Value>,
                at: &$crate::form::Pointer,
            ) -> Result<Self, $crate::form::Refusal> {
                Ok(Self {
                    $( $key: <$type as $crate::form::Field>::take(
                        map,
                        stringify!($key),
                        at,
                        &$crate::form::input!(@rule $($rule)?),
                    )?, )*
                })
            }

            fn describe(object: &mut $crate::form::Described) {
                $( <$type as $crate::form::Field>::describe(
                    stringify!($key),
                    concat!($($doc),*),
                    &$crate::form::input!(@rule $($rule)?),
                    object,
                ); )*
            }
        }

        impl $crate::form::Field for $name {
            fn read(
                value: &serde_json::Value,
                at: &$crate::form::Pointer,
                _: &$crate::form::Rule,
            ) -> Result<Self, $crate::form::Refusal> {
                let map = $crate::form::Object::open(value, at, &<Self as $crate::form::Record>::keys())?;
                <Self as $crate::form::Record>::read_keys(map, at)
            }

            fn schema(_: &$crate::form::Rule) -> serde_json::Value {
                $crate::form::described::<Self>()
            }
        }
    };
    (@rule) => { $crate::form::any() };
    (@rule $rule:expr) => { $rule };
}
pub(crate) use input;
