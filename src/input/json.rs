//! JSON, strictly: no key twice, at any depth. Of two values under one key readers keep the last without
//! a word, and the one that was dropped may be the one that somebody meant.

use super::{InputError, shown};
use serde::de::{
    DeserializeOwned, DeserializeSeed, Deserializer, Error, MapAccess, SeqAccess, Visitor,
};
use std::cell::RefCell;
use std::collections::BTreeSet;
use std::fmt;

/// Reads one JSON value from a file, or from whatever was sent in the place of one.
///
/// # Errors
/// [`InputError`]: a key twice, with its line; text that is no such JSON, for which `accepted` says what is.
pub fn read<T: DeserializeOwned>(place: &str, text: &str, accepted: &str) -> Result<T, InputError> {
    let refused = |error: &serde_json::Error| {
        // The reader's sentence; where in the file is said apart from it.
        let whole = error.to_string();
        let sentence = whole.rsplit_once(" at line ").map_or(whole.as_str(), |own| own.0);
        let found: String = sentence.chars().filter(|c| !c.is_control()).take(200).collect();
        InputError::new(place, found, accepted).at_line(error.line())
    };
    let walk = Walk::default();
    if let Err(error) = walk.through(text) {
        return Err(match walk.twice.into_inner() {
            Some(key) => InputError::new(place, "the same key twice", "each key once")
                .at_line(error.line())
                .at_key(key),
            None => refused(&error),
        });
    }
    serde_json::from_str(text).map_err(|error| refused(&error))
}

/// Reads JSON that this program wrote, with every key once.
///
/// # Errors
/// As of the reader, and for a key twice.
pub fn own<T: DeserializeOwned>(text: &str) -> Result<T, serde_json::Error> {
    Walk::default().through(text)?;
    serde_json::from_str(text)
}

/// Goes through all of a text and keeps nothing but the keys that lead to where it is.
#[derive(Default)]
struct Walk {
    path: RefCell<Vec<String>>,
    /// The path of the first key that stands twice.
    twice: RefCell<Option<String>>,
}

impl Walk {
    fn through(&self, text: &str) -> Result<(), serde_json::Error> {
        let mut reader = serde_json::Deserializer::from_str(text);
        Step(self).deserialize(&mut reader)?;
        reader.end()
    }

    /// Whatever `go` does stands under this key.
    fn under<T, E>(&self, key: String, go: impl FnOnce() -> Result<T, E>) -> Result<T, E> {
        self.path.borrow_mut().push(key);
        let gone = go();
        self.path.borrow_mut().pop();
        gone
    }

    fn found_twice<E: Error>(&self, key: &str) -> E {
        let keys = self.path.borrow();
        let keys = keys.iter().map(String::as_str).chain([key]);
        let path = keys.collect::<Vec<_>>().join(".").replace(".[", "[");
        let words = format!("the key {path} twice");
        *self.twice.borrow_mut() = Some(path);
        E::custom(words)
    }
}

/// One value.
#[derive(Clone, Copy)]
struct Step<'w>(&'w Walk);

impl<'de> DeserializeSeed<'de> for Step<'_> {
    type Value = ();

    fn deserialize<D: Deserializer<'de>>(self, deserializer: D) -> Result<(), D::Error> {
        deserializer.deserialize_any(self)
    }
}

impl<'de> Visitor<'de> for Step<'_> {
    type Value = ();

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("JSON")
    }
    fn visit_bool<E>(self, _: bool) -> Result<(), E> {
        Ok(())
    }
    fn visit_i64<E>(self, _: i64) -> Result<(), E> {
        Ok(())
    }
    fn visit_u64<E>(self, _: u64) -> Result<(), E> {
        Ok(())
    }
    fn visit_f64<E>(self, _: f64) -> Result<(), E> {
        Ok(())
    }
    fn visit_str<E>(self, _: &str) -> Result<(), E> {
        Ok(())
    }
    fn visit_unit<E>(self) -> Result<(), E> {
        Ok(())
    }
    fn visit_seq<A: SeqAccess<'de>>(self, mut list: A) -> Result<(), A::Error> {
        let mut place = 0_usize;
        while self.0.under(format!("[{place}]"), || list.next_element_seed(self))?.is_some() {
            place += 1;
        }
        Ok(())
    }
    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<(), A::Error> {
        let mut seen = BTreeSet::new();
        while let Some(key) = map.next_key::<String>()? {
            if seen.contains(&key) {
                return Err(self.0.found_twice(&shown(&key)));
            }
            self.0.under(shown(&key), || map.next_value_seed(self))?;
            seen.insert(key);
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::Value;

    fn refused(text: &str) -> InputError {
        read::<Value>("answer.json", text, "JSON").unwrap_err()
    }

    #[test]
    fn a_key_twice_is_refused_at_any_depth_with_its_path_and_line() {
        for (text, key, line) in [
            ("{\"a\": 1,\n\"a\": 1}", "a", 2),
            ("{\"a\": [0, {\"b\": {\"c\": 1,\n\n\"c\": 2}}]}", "a[1].b.c", 3),
            ("[{\"load\": 1.5, \"lo\\u0061d\": 1.0}]", "[0].load", 1),
        ] {
            let error = refused(text);
            assert_eq!((error.key.as_deref(), error.line), (Some(key), Some(line)), "{error}");
            assert_eq!(error.found, "the same key twice");
            assert!(own::<Value>(text).is_err(), "{text}");
        }
    }

    #[test]
    fn the_same_key_in_two_places_and_a_name_in_another_case_are_two_keys() {
        let text = "{\"a\": {\"x\": 1}, \"b\": {\"x\": 2}, \"A\": [{\"x\": 3}, {\"x\": 4}]}";
        let value: Value = read("answer.json", text, "JSON").unwrap();
        assert_eq!(value["A"][1]["x"], 4);
    }

    #[test]
    fn what_is_no_json_is_refused_with_its_line() {
        for text in ["", "{", "{\"a\": 1} {\"a\": 2}", "{\"a\":\n01}", "{\"a\": NaN}"] {
            let error = refused(text);
            assert!(error.key.is_none() && error.line.is_some(), "{text}: {error}");
        }
        assert!(own::<Value>(&("[".repeat(5000) + &"]".repeat(5000))).is_err());
    }
}
