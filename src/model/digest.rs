//! SHA-256 of files: what the manifest holds, and what `sha256sum` can check where our tool is not.

use sha2::Digest as _;
use std::fmt;
use std::io::{self, Write};

/// A SHA-256 hash. Source: FIPS 180-4.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Digest([u8; 32]);

impl Digest {
    /// The hash of these bytes.
    pub fn of(bytes: &[u8]) -> Self {
        Self(sha2::Sha256::digest(bytes).into())
    }

    /// The hash with these bytes.
    pub fn from_bytes(bytes: [u8; 32]) -> Self {
        Self(bytes)
    }

    /// Its bytes.
    pub fn bytes(self) -> [u8; 32] {
        self.0
    }

    /// Reads 64 lower-case hexadecimal digits.
    pub fn from_hex(text: &str) -> Option<Self> {
        let sound = text.len() == 64 && text.bytes().all(|byte| matches!(byte, b'0'..=b'9' | b'a'..=b'f'));
        let mut bytes = [0; 32];
        for (at, byte) in bytes.iter_mut().enumerate().take_while(|_| sound) {
            *byte = u8::from_str_radix(&text[at * 2..at * 2 + 2], 16).ok()?;
        }
        sound.then_some(Self(bytes))
    }
}

impl fmt::Display for Digest {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.iter().try_for_each(|byte| write!(out, "{byte:02x}"))
    }
}

/// A BLAKE3 hash of parts, each behind its length, so that no two lists of parts are one text.
#[derive(Debug, Default)]
pub struct Parts {
    hasher: blake3::Hasher,
    /// What is not hashed yet: many small parts one by one take several times as long.
    waiting: Vec<u8>,
}

impl Parts {
    /// Adds a part.
    pub fn add(&mut self, part: impl AsRef<[u8]>) {
        let part = part.as_ref();
        self.waiting.extend((part.len() as u64).to_le_bytes());
        self.waiting.extend(part);
        if self.waiting.len() >= 16 * 1024 {
            self.hasher.update(&self.waiting);
            self.waiting.clear();
        }
    }

    /// The hash of all parts so far.
    pub fn hash(&self) -> blake3::Hash {
        self.hasher.clone().update(&self.waiting).finalize()
    }
}

/// Hashes and counts what is written to it.
#[derive(Debug, Clone, Default)]
pub struct Digester {
    hasher: sha2::Sha256,
    size: u64,
}

impl Digester {
    /// How many bytes there were, and their hash.
    pub fn finish(self) -> (u64, Digest) {
        (self.size, Digest(self.hasher.finalize().into()))
    }
}

impl Write for Digester {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.hasher.update(bytes);
        self.size += bytes.len() as u64;
        Ok(bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_examples_of_the_standard_hold() {
        // FIPS 180-4, examples of SHA-256: "abc".
        let abc = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";
        assert_eq!(Digest::of(b"abc").to_string(), abc);
        assert_eq!(Digest::from_hex(abc), Some(Digest::of(b"abc")));
        assert_eq!(Digest::from_hex(&abc.to_uppercase()), None);
        assert_eq!(Digest::from_hex("ba78"), None);
        let mut digester = Digester::default();
        digester.write_all(b"a").expect("it never fails");
        digester.write_all(b"bc").expect("it never fails");
        assert_eq!(digester.finish(), (3, Digest::of(b"abc")));
    }
}
