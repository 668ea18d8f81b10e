//! What of a track is played. An edit list can name a part of it, as a cut without encoding anew does: the rest stays in the
//! file, no player shows it, and so nobody who looks at the film sees it. Source: ISO/IEC 14496-12 (2022), 8.6.

use super::window::{Fault, big};
use std::ops::Range;

/// Seconds of a track that may lie outside of what is played: the delay of pictures that are shown in another order than they
/// are coded, and the silence that sound coders need to begin, are shorter. Common practice, no source.
const MOST_UNPLAYED: f64 = 0.5;
const TOO_LONG: Fault = Fault::Damaged("a table in it cannot be right");

/// The times of one track, in its own units, and which of them its edits play.
#[derive(Debug, Default)]
pub(super) struct Played {
    /// Units a second, as the track's head says.
    scale: u64,
    /// How many samples last how long.
    lengths: Vec<(u64, u64)>,
    /// How many samples are shown how much later than they are decoded.
    delays: Vec<(u64, i64)>,
    /// Length in units of the film (0 means to the end), beginning in units of the track, and whether time goes on in it.
    edits: Vec<(u64, i64, bool)>,
}

impl Played {
    /// Takes over one box: `mdhd`, `stts`, `ctts` or `elst`.
    pub(super) fn read(&mut self, kind: &[u8; 4], body: &[u8]) -> Result<(), Fault> {
        let long = body.first() == Some(&1);
        let rows = |width: usize| -> Result<std::slice::ChunksExact<'_, u8>, Fault> {
            let count = usize::try_from(big(body, 4, 4)).unwrap_or(usize::MAX);
            let end = count.checked_mul(width).and_then(|len| len.checked_add(8));
            let rows = end.and_then(|end| body.get(8..end)).ok_or(Fault::Damaged("a table in it is cut off"))?;
            Ok(rows.chunks_exact(width))
        };
        match kind {
            b"mdhd" => self.scale = big(body, if long { 20 } else { 12 }, 4),
            b"stts" => self.lengths = rows(8)?.map(|row| (big(row, 0, 4), big(row, 4, 4))).collect(),
            b"ctts" => self.delays = rows(8)?.map(|row| (big(row, 0, 4), signed(row, 4, 4))).collect(),
            _ if long => {
                self.edits = rows(20)?.map(|row| (big(row, 0, 8), signed(row, 8, 8), big(row, 16, 2) != 0)).collect();
            }
            _ => self.edits = rows(12)?.map(|row| (big(row, 0, 4), signed(row, 4, 4), big(row, 8, 2) != 0)).collect(),
        }
        Ok(())
    }

    /// Whether more of the track than coders need lies outside of what is played.
    ///
    /// `film` are the units a second of edits. Of a film in fragments the end is not known here, so a part that ends is one
    /// that leaves something out.
    pub(super) fn leaves_out(&self, film: u64, fragments: bool) -> Result<bool, Fault> {
        if self.edits.is_empty() || self.scale == 0 {
            return Ok(false);
        }
        let shown = self.shown()?;
        let end = if fragments { i64::MAX } else { shown.end };
        let mut played: Vec<Range<i64>> = Vec::new();
        for (length, from, goes_on) in &self.edits {
            // An edit of nothing is a delay, and one in which time stands shows a moment.
            if *from < 0 || !goes_on {
                continue;
            }
            let length = u128::from(*length) * u128::from(self.scale) / u128::from(film.max(1));
            let to = if length == 0 { end } else { from.saturating_add(i64::try_from(length).unwrap_or(i64::MAX)) };
            played.push((*from).max(shown.start)..to.min(end));
        }
        played.sort_by_key(|range| range.start);
        let (mut at, mut unplayed) = (shown.start, 0_i64);
        for range in played {
            unplayed = unplayed.saturating_add((range.start - at).max(0));
            at = at.max(range.end);
        }
        unplayed = unplayed.saturating_add(end.saturating_sub(at).max(0));
        #[expect(clippy::cast_precision_loss, reason = "a length in seconds needs no more than 52 bits")]
        let seconds = unplayed as f64 / self.scale as f64;
        Ok(seconds > MOST_UNPLAYED)
    }

    /// From when to when the samples of the tables would be shown.
    fn shown(&self) -> Result<Range<i64>, Fault> {
        let (mut decoded, mut range) = (0_i64, None::<Range<i64>>);
        let mut delays = self.delays.iter().copied();
        let mut delay = delays.next().unwrap_or((u64::MAX, 0));
        for (mut count, length) in self.lengths.iter().copied() {
            let length = i64::try_from(length).map_err(|_| TOO_LONG)?;
            while count > 0 {
                while delay.0 == 0 {
                    delay = delays.next().unwrap_or((u64::MAX, 0));
                }
                // So many samples in which neither their length nor their delay changes.
                let run = count.min(delay.0);
                let whole = i64::try_from(run).ok().and_then(|run| run.checked_mul(length)).ok_or(TOO_LONG)?;
                let first = decoded.checked_add(delay.1).ok_or(TOO_LONG)?;
                let last = first.checked_add(whole).ok_or(TOO_LONG)?;
                let so_far = range.unwrap_or(first..last);
                range = Some(so_far.start.min(first)..so_far.end.max(last));
                decoded = decoded.checked_add(whole).ok_or(TOO_LONG)?;
                (count, delay.0) = (count - run, delay.0 - run);
            }
        }
        Ok(range.unwrap_or(0..0))
    }
}

/// A big-endian number that may be below 0.
pub(super) fn signed(bytes: &[u8], at: usize, len: usize) -> i64 {
    let number = big(bytes, at, len).cast_signed();
    let unused = 64 - 8 * len;
    number << unused >> unused
}

#[cfg(test)]
mod tests {
    use super::*;

    fn table(version: u32, rows: &[u32]) -> Vec<u8> {
        [version << 24].iter().chain(rows).flat_map(|number| number.to_be_bytes()).collect()
    }

    /// A track of ten seconds at 10 pictures a second, whose first picture is shown two pictures late.
    fn track(edits: &[u32]) -> Played {
        let mut played = Played::default();
        played.read(b"mdhd", &table(0, &[0, 0, 1000, 10_000])).expect("sound");
        played.read(b"stts", &table(0, &[1, 100, 100])).expect("sound");
        played.read(b"ctts", &table(0, &[3, 1, 200, 1, 500, 98, 200])).expect("sound");
        played.read(b"elst", &table(0, edits)).expect("sound");
        played
    }

    #[test]
    fn what_the_edits_leave_out_is_counted() {
        const RATE: u32 = 0x1_0000;
        const NONE: u32 = u32::MAX;
        // The film counts in 600 a second, the track in 1000.
        for (edits, leaves_out) in [
            (&[0][..], false),
            (&[1, 6000, 200, RATE], false),
            (&[2, 1200, NONE, RATE, 6000, 200, RATE], false),
            (&[1, 5760, 600, RATE], false),
            (&[1, 0, 200, RATE], false),
            (&[1, 3000, 5200, RATE], true),
            (&[1, 3000, 200, RATE], true),
            (&[1, 0, 5200, RATE], true),
            (&[2, 3000, 200, RATE, 3000, 5200, RATE], false),
            (&[2, 3000, 5200, RATE, 3000, 200, RATE], false),
            (&[2, 2700, 200, RATE, 2700, 5500, RATE], true),
            (&[1, 6000, 200, 0], true),
            (&[1, 6000, NONE, RATE], true),
        ] {
            assert_eq!(track(edits).leaves_out(600, false), Ok(leaves_out), "{edits:?}");
        }
        assert_eq!(track(&[1, 0, 200, RATE]).leaves_out(600, true), Ok(false));
        assert_eq!(track(&[1, 0, 5200, RATE]).leaves_out(600, true), Ok(true));
        assert_eq!(track(&[1, 6000, 200, RATE]).leaves_out(600, true), Ok(true));
    }

    #[test]
    fn long_edits_are_read_too() {
        let mut played = track(&[0]);
        let row = [3000_u64, 5200].iter().flat_map(|number| number.to_be_bytes()).chain([0, 1, 0, 0]);
        let body: Vec<u8> = [1, 0, 0, 0, 0, 0, 0, 1].into_iter().chain(row).collect();
        played.read(b"elst", &body).expect("sound");
        assert_eq!(played.leaves_out(600, false), Ok(true));
        assert_eq!(played.shown(), Ok(200..10_200));
    }

    #[test]
    fn tables_that_cannot_be_right_are_told() {
        let mut played = track(&[1, 6000, 200, 0x1_0000]);
        assert!(played.read(b"elst", &table(0, &[2, 6000, 200, 0x1_0000])).is_err());
        let most = u32::MAX;
        played.read(b"stts", &table(0, &[3, most, most, most, most, most, most])).expect("it is whole");
        assert!(played.leaves_out(600, false).is_err());
    }
}
