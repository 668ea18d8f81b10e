//! Pairs of neighbouring words, for quoted phrases: all of them while there is room, then those that belong together.

use super::Map;
use super::build::Whole;
use super::calls::Calls;
use super::compact::Pairs;
use crate::model::search::codec::{LEVELS, pack};
use crate::model::search::{Entry, pair_term};
use rayon::prelude::*;
use std::collections::{BTreeSet, HashSet};

/// Bytes for all pairs of a library of any size, and more for each document of a large one.
const ROOM: usize = 1_000_000;
const ROOM_EACH: usize = 24;
/// About how many bytes a pair takes besides those for its documents, and for each of these.
const PAIR: usize = 12;
const EACH: f64 = 1.3;
/// Pairs are counted in so many parts, side by side.
const PARTS: u32 = 16;

/// A pair of terms, and how many documents have it.
type Pair = ((u32, u32), u32);

/// About how many bytes a pair takes that so many documents have.
fn size(often: u32) -> usize {
    PAIR + (f64::from(often) * EACH) as usize
}

/// The entries of pairs, and whether every pair has one.
pub(super) fn entries(whole: &Whole, calls: &Calls) -> (Vec<Entry>, bool) {
    let room = ROOM.max(ROOM_EACH * whole.pairs.len());
    let called: BTreeSet<(&str, &str)> = calls.pairs().collect();
    let words: HashSet<&str> = called.iter().flat_map(|(one, other)| [*one, *other]).collect();
    let is_called: Vec<bool> = whole.names.iter().map(|name| words.contains(&**name)).collect();
    let (counted, all) =
        counted(whole, room, |(pair, often)| *often > 1 || (is_called[pair.0 as usize] && is_called[pair.1 as usize]));
    let chosen = if all { counted } else { chosen(whole, &called, &is_called, counted, room) };
    let places: Map<(u32, u32), usize> = chosen.iter().enumerate().map(|(at, (pair, _))| (*pair, at)).collect();
    let mut lists: Vec<Vec<(u32, u8)>> = chosen.iter().map(|(_, often)| Vec::with_capacity(*often as usize)).collect();
    for (pairs, document) in whole.pairs.iter().zip(0u32..) {
        for pair in pairs.iter() {
            if let Some(&at) = places.get(&pair) {
                lists[at].push((document, LEVELS));
            }
        }
    }
    let entry = |((one, other), _): &Pair, list: &Vec<(u32, u8)>| Entry {
        term: pair_term(&whole.names[*one as usize], &whole.names[*other as usize]),
        documents: list.len() as u32,
        list: pack(list),
    };
    (chosen.par_iter().zip(&lists).map(|(pair, list)| entry(pair, list)).collect(), all)
}

/// Every pair, in an order that does not hang on threads, and `true`, if there is room for all of them; otherwise those that
/// may be chosen. Most pairs of a large library stand in it once, and are not held for long.
fn counted(whole: &Whole, room: usize, may_be_chosen: impl Fn(&Pair) -> bool + Sync) -> (Vec<Pair>, bool) {
    let count = |part: u32| {
        let mut places: Map<(u32, u32), usize> = Map::default();
        let mut counted: Vec<Pair> = Vec::new();
        for pair in
            whole.pairs.iter().flat_map(Pairs::iter).filter(|(one, other)| (one ^ other.rotate_left(3)) % PARTS == part)
        {
            let fresh = counted.len();
            let at = *places.entry(pair).or_insert(fresh);
            if at == fresh {
                counted.push((pair, 0));
            }
            counted[at].1 += 1;
        }
        let takes: usize = counted.iter().map(|(_, often)| size(*often)).sum();
        if takes > room {
            counted.retain(&may_be_chosen);
            counted.shrink_to_fit();
        }
        (counted, takes)
    };
    let parts: Vec<(Vec<Pair>, usize)> = (0..PARTS).into_par_iter().map(count).collect();
    let all = parts.iter().map(|(_, takes)| takes).sum::<usize>() <= room;
    let pairs = parts.into_iter().flat_map(|(pairs, _)| pairs).filter(|pair| all || may_be_chosen(pair));
    (pairs.collect(), all)
}

/// The pairs of the vocabulary's own terms, then those of several documents whose words stand together most, by normalised
/// pointwise mutual information times the logarithm of their number. Source: Bouma, "Normalized (pointwise) mutual
/// information in collocation extraction", GSCL 2009.
fn chosen(
    whole: &Whole,
    called: &BTreeSet<(&str, &str)>,
    is_called: &[bool],
    counted: Vec<Pair>,
    room: usize,
) -> Vec<Pair> {
    let name = |term: u32| &*whole.names[term as usize];
    let all = whole.pairs.len() as f64;
    let worth = |((one, other), often): &Pair| {
        if is_called[*one as usize] && is_called[*other as usize] && called.contains(&(name(*one), name(*other))) {
            return f64::INFINITY;
        }
        let share = f64::from(*often) / all;
        let with = |term: u32| whole.terms[term as usize].len() as f64 / all;
        let together = libm::log(share / (with(*one) * with(*other)));
        together / -libm::log(share.min(0.999)) * libm::log(f64::from(*often))
    };
    let mut worths: Vec<(f64, (u32, u32), u32)> =
        counted.par_iter().map(|pair| (worth(pair), pair.0, pair.1)).filter(|(worth, ..)| *worth > 0.0).collect();
    worths.par_sort_unstable_by(|one, other| {
        other.0.total_cmp(&one.0).then_with(|| (name(one.1.0), name(one.1.1)).cmp(&(name(other.1.0), name(other.1.1))))
    });
    let mut left = room;
    let fits = worths.into_iter().map_while(|(_, pair, often)| {
        left = left.checked_sub(size(often))?;
        Some((pair, often))
    });
    fits.collect()
}
