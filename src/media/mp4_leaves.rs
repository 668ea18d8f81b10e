//! Boxes that hold numbers: how long each is by its own account, so that nothing can lie behind them, and which of their bytes
//! mean nothing. Source: ISO/IEC 14496-12 (2022), the clause named at each.

use super::window::big;

/// How many bytes of the body of a box say something, given its first bytes. None if the box is not one of numbers alone.
pub(super) fn length(kind: &[u8; 4], head: &[u8]) -> Option<u64> {
    let long = head.first() == Some(&1);
    let number = |at| big(head, at, 4);
    // A table of rows after `fixed` bytes, the last four of which count them.
    let table = |fixed: usize, width: u64| number(fixed - 4).checked_mul(width)?.checked_add(fixed as u64);
    match kind {
        // 8.2.2, 8.3.2, 8.4.2.
        b"mvhd" => Some(if long { 112 } else { 100 }),
        b"tkhd" => Some(if long { 96 } else { 84 }),
        b"mdhd" => Some(if long { 36 } else { 24 }),
        // 12.1.2, 12.2.2.
        b"vmhd" => Some(12),
        b"smhd" => Some(8),
        // 8.6.6, 8.6.1.
        b"elst" => table(8, if long { 20 } else { 12 }),
        b"stts" | b"ctts" => table(8, 8),
        b"cslg" => Some(if long { 44 } else { 24 }),
        b"stss" | b"stco" => table(8, 4),
        b"co64" => table(8, 8),
        b"sbgp" => table(if long { 16 } else { 12 }, 8),
        b"stsc" => table(8, 12),
        // 8.7.3: sizes, or one for all.
        b"stsz" => Some(if number(4) == 0 { table(12, 4)? } else { 12 }),
        b"stz2" => {
            let bits = number(8).checked_mul(u64::from(head.get(7).copied().unwrap_or(0)))?;
            Some(12 + bits.div_ceil(8))
        }
        // 8.9.3: of groups only those that say where decoding may begin; each is one number.
        b"sgpd" => (long && (1..=2).contains(&number(8))).then(|| 16 + number(12) * number(8)),
        // 8.8.
        b"mehd" => Some(if long { 12 } else { 8 }),
        b"trex" => Some(24),
        b"mfhd" | b"mfro" => Some(8),
        b"tfdt" => Some(if long { 12 } else { 8 }),
        b"tfhd" => {
            let flags = number(0);
            let fields = [(0x1, 8), (0x2, 4), (0x8, 4), (0x10, 4), (0x20, 4)];
            Some(8 + fields.iter().filter(|(flag, _)| flags & flag != 0).map(|(_, len)| len).sum::<u64>())
        }
        b"trun" => {
            let flags = number(0);
            let once =
                [(0x1, 4), (0x4, 4)].iter().filter(|(flag, _)| flags & flag != 0).map(|(_, len)| len).sum::<u64>();
            let each = [0x100, 0x200, 0x400, 0x800].iter().filter(|flag| flags & **flag != 0).count() as u64 * 4;
            number(4).checked_mul(each)?.checked_add(8 + once)
        }
        b"tfra" => {
            let sizes = number(8);
            let numbers: u64 = [0, 2, 4].iter().map(|shift| (sizes >> shift & 3) + 1).sum();
            number(12).checked_mul(numbers + if long { 16 } else { 8 })?.checked_add(16)
        }
        // 8.16.3.
        b"sidx" => {
            let fixed: u64 = if long { 32 } else { 24 };
            let count = big(head, if long { 30 } else { 22 }, 2);
            Some(fixed + count * 12)
        }
        // What a picture's entry says of its shape and rate: 12.1.4, 8.5.2, and QuickTime's `fiel`.
        b"pasp" => Some(8),
        b"clap" => Some(32),
        b"btrt" => Some(12),
        b"fiel" => Some(2),
        b"mdcv" => Some(24),
        b"clli" => Some(4),
        _ => None,
    }
}

/// Bytes of a head that are kept free by the standard, in which other programs put times of their own: from where in its body,
/// and how many.
pub(super) fn idle(kind: &[u8; 4], long: bool) -> Vec<(u64, u64)> {
    let (all, one) = if long { (12, 8) } else { (0, 0) };
    match kind {
        b"mvhd" => vec![(26 + all, 10), (72 + all, 24)],
        b"tkhd" => vec![(16 + one, 4), (24 + all, 8), (38 + all, 2)],
        b"mdhd" => vec![(22 + all, 2)],
        _ => Vec::new(),
    }
}

/// What may stand in the entry of a picture's or a sound's coding: the coder's settings, shape, colour, rate.
pub(super) const OF_ENTRY: &[&[u8; 4]] = &[
    b"avcC", b"hvcC", b"vpcC", b"av1C", b"esds", b"dOps", b"dfLa", b"dac3", b"dec3", b"alac", b"dvcC", b"dvvC",
    b"pasp", b"clap", b"colr", b"btrt", b"fiel", b"mdcv", b"clli", b"srat",
];

/// Names of formats that a film may say it follows. Source: the register of the MP4 authority, those that web films use.
pub(super) const BRANDS: &[&[u8; 4]] = &[
    b"isom", b"iso2", b"iso3", b"iso4", b"iso5", b"iso6", b"iso7", b"iso8", b"iso9", b"mp41", b"mp42", b"mp71",
    b"avc1", b"hvc1", b"hev1", b"av01", b"vp09", b"M4V ", b"M4A ", b"MSNV", b"dash", b"msdh", b"msix", b"cmfc",
    b"cmf2", b"3gp4", b"3gp5", b"3gp6", b"3g2a",
];

#[cfg(test)]
mod tests {
    use super::*;

    fn body(numbers: &[u32]) -> Vec<u8> {
        numbers.iter().flat_map(|number| number.to_be_bytes()).collect()
    }

    #[test]
    fn lengths_are_those_of_the_standard() {
        // Worked out by hand from the syntax of each clause.
        for (kind, head, len) in [
            (b"elst", &[0, 2][..], 32),
            (b"elst", &[1 << 24, 2], 48),
            (b"stts", &[0, 3], 32),
            (b"stsc", &[0, 1], 20),
            (b"stsz", &[0, 0, 5], 32),
            (b"stsz", &[0, 7, 5], 12),
            (b"stz2", &[0, 4, 5], 15),
            (b"co64", &[0, 2], 24),
            (b"sbgp", &[0, 0, 2], 28),
            (b"sgpd", &[1 << 24, 0, 2, 1], 18),
            (b"tfhd", &[0x2_0038, 1], 20),
            (b"trun", &[0x205, 3], 28),
            (b"trun", &[0xf01, 2], 44),
            (b"tfra", &[1 << 24, 1, 0, 2], 54),
            (b"sidx", &[0, 1, 1000, 0, 0, 2], 48),
            (b"mvhd", &[0], 100),
            (b"tkhd", &[1 << 24], 96),
        ] {
            assert_eq!(length(kind, &body(head)), Some(len), "{} {head:?}", String::from_utf8_lossy(kind));
        }
        assert_eq!(length(b"sgpd", &body(&[1 << 24, 0, 40, 1])), None);
        assert_eq!(length(b"avcC", &[]), None);
    }
}
