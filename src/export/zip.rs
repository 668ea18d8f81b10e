//! A zip file of a few small texts, stored and not deflated: one form for equal contents on every machine and at any time.
//!
//! Source: PKWARE, APPNOTE.TXT: local file header (4.3.7), central directory header (4.3.12), end of central directory record
//! (4.3.16). No extra field, no ZIP64: a package of questions is far below its limits.

/// A file's time: midnight of 1 January 1980, the first that a zip file can tell (MS-DOS date and time).
const TIME: [u8; 4] = [0, 0, 0x21, 0];
/// General purpose bit 11: names are UTF-8.
const UTF_8: u16 = 1 << 11;
/// Version needed to extract a stored file: 1.0.
const VERSION: u16 = 10;

/// The bytes of a zip file that holds these files in this order.
///
/// # Panics
/// A file, or all of them together, would need ZIP64: 4 GiB, or 65,535 files.
pub(super) fn zip(files: &[(String, Vec<u8>)]) -> Vec<u8> {
    let mut out = Vec::new();
    let mut directory = Vec::new();
    for (name, bytes) in files {
        let at = size(out.len());
        let mut header = Vec::new();
        header.extend(VERSION.to_le_bytes());
        header.extend(UTF_8.to_le_bytes());
        // Stored.
        header.extend(0_u16.to_le_bytes());
        header.extend(TIME);
        header.extend(crc32(bytes).to_le_bytes());
        header.extend(size(bytes.len()).to_le_bytes());
        header.extend(size(bytes.len()).to_le_bytes());
        header.extend(small(name.len()).to_le_bytes());
        // No extra field.
        header.extend(0_u16.to_le_bytes());
        out.extend(b"PK\x03\x04");
        out.extend(&header);
        out.extend(name.as_bytes());
        out.extend(bytes);
        directory.extend(b"PK\x01\x02");
        // Made by version 1.0, on the system MS-DOS: no permissions.
        directory.extend(VERSION.to_le_bytes());
        directory.extend(&header);
        // No comment, first disk, no attributes inside or outside.
        directory.extend([0; 2 + 2 + 2 + 4]);
        directory.extend(at.to_le_bytes());
        directory.extend(name.as_bytes());
    }
    let at = size(out.len());
    out.extend(&directory);
    out.extend(b"PK\x05\x06");
    // One disk.
    out.extend([0; 4]);
    out.extend(small(files.len()).to_le_bytes());
    out.extend(small(files.len()).to_le_bytes());
    out.extend(size(directory.len()).to_le_bytes());
    out.extend(at.to_le_bytes());
    // No comment.
    out.extend(0_u16.to_le_bytes());
    out
}

fn size(bytes: usize) -> u32 {
    u32::try_from(bytes).expect("a package of questions is below 4 GiB")
}

fn small(number: usize) -> u16 {
    u16::try_from(number).expect("a package has fewer than 65,536 files")
}

/// The check sum of the zip format: CRC-32 of ISO 3309, reflected polynomial EDB88320.
fn crc32(bytes: &[u8]) -> u32 {
    let mut crc = u32::MAX;
    for byte in bytes {
        crc ^= u32::from(*byte);
        for _ in 0..8 {
            crc = if crc & 1 == 1 { (crc >> 1) ^ 0xEDB8_8320 } else { crc >> 1 };
        }
    }
    !crc
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_check_sum_is_that_of_the_format() {
        // The check value of CRC-32/ISO-HDLC in the CRC RevEng catalogue (from memory).
        assert_eq!(crc32(b"123456789"), 0xCBF4_3926);
        assert_eq!(crc32(b""), 0);
    }
}
