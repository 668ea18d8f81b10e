//! Values in few bytes, for what a large library has once for each case and a page looks at now and then.

use lz4_flex::block::{compress_prepend_size, decompress_size_prepended};
use serde::de::DeserializeOwned;
use serde::{Deserialize, Serialize};
use std::marker::PhantomData;

/// A value packed: written by `postcard`, then compressed, which finds what is said twice.
pub(super) fn pack<T: Serialize>(value: &T) -> Vec<u8> {
    compress_prepend_size(&postcard::to_stdvec(value).expect("a value that can be written"))
}

/// The value that was packed.
pub(super) fn unpack<T: DeserializeOwned>(packed: &[u8]) -> T {
    let plain = decompress_size_prepended(packed).expect("what was compressed here");
    postcard::from_bytes(&plain).expect("what was written here")
}

/// A packed value. Two are equal if they are written alike.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Packed<T> {
    bytes: Box<[u8]>,
    of: PhantomData<T>,
}

impl<T: Serialize + for<'d> Deserialize<'d>> Packed<T> {
    /// Packs a value.
    pub fn new(value: &T) -> Self {
        Self { bytes: pack(value).into(), of: PhantomData }
    }

    /// The value.
    pub fn open(&self) -> T {
        unpack(&self.bytes)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_value_is_unpacked_as_it_was() {
        for value in
            [Vec::new(), vec![(0.1 + 0.2, Some("iris".to_owned())), (f64::INFINITY, None)], vec![(1.5, None); 300]]
        {
            let packed = Packed::new(&value);
            assert_eq!(packed.open(), value);
            assert_eq!(packed, Packed::new(&value.clone()));
            assert!(value.len() < 300 || packed.bytes.len() < 60, "{}", packed.bytes.len());
        }
    }
}
