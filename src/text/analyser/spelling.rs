//! One spelling for British and American words. Common practice, no source; read against 57,000 words for false merges.

/// British groups of letters anywhere in a word, and their American form. Not every `oe`: a poet is no pet.
pub(super) const GROUPS: &[(&str, &str)] = &[
    ("oedem", "edem"),
    ("oesoph", "esoph"),
    ("oestr", "estr"),
    ("foet", "fet"),
    ("hoea", "hea"),
    ("pnoe", "pne"),
    ("amoeb", "ameb"),
    ("homoeo", "homeo"),
    ("coeli", "celi"),
    ("sulph", "sulf"),
    ("rrhexis", "rhexis"),
    ("manoeuv", "maneuv"),
    ("centred", "centered"),
    ("centring", "centering"),
];

/// British endings, their American form, and how many letters must stand before; the first that fits is applied.
pub(super) const ENDINGS: &[(&str, &str, usize)] = &[
    ("isations", "izations", 3),
    ("isation", "ization", 3),
    ("ising", "izing", 3),
    ("isers", "izers", 3),
    ("iser", "izer", 3),
    ("ised", "ized", 3),
    ("ises", "izes", 3),
    ("ise", "ize", 3),
    ("ysing", "yzing", 3),
    ("ysed", "yzed", 3),
    ("yser", "yzer", 3),
    ("yse", "yze", 3),
    ("ouring", "oring", 3),
    ("ourless", "orless", 3),
    ("oured", "ored", 3),
    ("ours", "ors", 3),
    ("our", "or", 3),
    ("itred", "itered", 3),
    ("uvred", "uvered", 3),
    ("tres", "ters", 2),
    ("tre", "ter", 2),
    ("bres", "bers", 2),
    ("bre", "ber", 2),
    ("vres", "vers", 2),
    ("vre", "ver", 2),
    ("ogues", "ogs", 3),
    ("ogue", "og", 3),
    ("grey", "gray", 0),
];

/// The American spelling of a token; others than plain words of five letters and more stay as they are.
pub fn american(word: &str) -> String {
    let mut word = word.to_owned();
    if word.len() < 5 || !word.bytes().all(|letter| letter.is_ascii_lowercase()) {
        return word;
    }
    for (british, other) in GROUPS {
        if word.contains(british) {
            word = word.replace(british, other);
        }
    }
    if let Some(rest) = word.strip_prefix("leuco") {
        word = format!("leuko{rest}");
    }
    if word.ends_with("ae") {
        word.pop();
    } else {
        // `ae` is one sound, except in air: aerosol, aerial.
        let from = if word.starts_with("aer") { 2 } else { 0 };
        if word[from..].contains("ae") {
            word = word[..from].to_owned() + &word[from..].replace("ae", "e");
        }
    }
    for (british, other, least) in ENDINGS {
        if let Some(stem) = word.strip_suffix(british).filter(|stem| stem.len() >= *least) {
            // Not precise, otherwise, surprise, expertise, advertise: only after the letters that a verb in -ize has.
            if british.starts_with("is") && !takes_ize(stem.as_bytes()) {
                break;
            }
            return format!("{stem}{other}");
        }
    }
    word
}

/// Whether what stands before `-ise` is the stem of a verb that Americans write with `-ize`.
fn takes_ize(stem: &[u8]) -> bool {
    let [.., before, last] = stem else { return false };
    match last {
        b'l' | b'n' | b'm' | b'g' | b'h' => true,
        b'r' => *before != b'p',
        b't' => matches!(before, b'a' | b'e' | b'i'),
        b'd' => matches!(before, b'r' | b'i'),
        _ => false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn british_words_become_american_ones() {
        for (british, other) in [
            ("haemorrhage", "hemorrhage"),
            ("oedema", "edema"),
            ("anaesthetised", "anesthetized"),
            ("bullae", "bulla"),
            ("aerosol", "aerosol"),
            ("colour", "color"),
            ("centred", "centered"),
            ("fibre", "fiber"),
            ("manoeuvre", "maneuver"),
            ("analyse", "analyze"),
            ("precise", "precise"),
            ("expertise", "expertise"),
            ("exercise", "exercise"),
            ("stabilisation", "stabilization"),
            ("four", "four"),
            ("lens", "lens"),
            ("capsulorrhexis", "capsulorhexis"),
        ] {
            assert_eq!(american(british), other);
        }
    }
}
