//! Addresses of pages, machines and files: outside a list of known sites, inside a hospital, in a user's folder.

use super::{Class, Hit, Pattern, Searched, always, before, scan};

static URL: Pattern =
    Pattern::new(r#"(?i)(?-u:\b)(?:(?:https?|ftp)://|www\.)(?P<host>[^\s/<>()\[\]"'?#,;]+)[^\s<>()\[\]"'}]*"#);
static MACHINE: Pattern =
    Pattern::new(r"(?-u:\b)(?:(?:25[0-5]|2[0-4]\d|1?\d?\d)\.){3}(?:25[0-5]|2[0-4]\d|1?\d?\d)(?-u:\b)");
static SIX: Pattern = Pattern::new(
    r"(?i)(?-u:\b)(?:(?:[0-9a-f]{1,4}:){7}[0-9a-f]{1,4}|(?:[0-9a-f]{1,4}:){2,6}:[0-9a-f]{1,4}|(?:[0-9a-f]{2}[:-]){5}[0-9a-f]{2})(?-u:\b)",
);
static PATH: Pattern = Pattern::new(
    r#"(?i)(?-u:\b)[a-z]:\\(?:users|documents and settings)\\[^\s"']+|\\\\[A-Za-z0-9._-]+\\[^\s"']+|(?:^|[\s"'(=])(?P<id>/(?:home|users|volumes|media|mnt)/[\w.-]+/?[^\s"')]*)|(?-u:\b)(?:file|smb|afp|dicom)://[^\s"')]+"#,
);

/// Sites of literature, guidelines and standards that a case may name. A department adds others by a waiver.
const KNOWN: &[&str] = &[
    "doi.org",
    "nih.gov",
    "who.int",
    "nice.org.uk",
    "nhs.uk",
    "rcophth.ac.uk",
    "aao.org",
    "aaojournal.org",
    "escrs.org",
    "ascrs.org",
    "bmj.com",
    "thelancet.com",
    "nejm.org",
    "jamanetwork.com",
    "nature.com",
    "springer.com",
    "wiley.com",
    "sciencedirect.com",
    "elsevier.com",
    "lww.com",
    "jcrsjournal.org",
    "ajo.com",
    "europepmc.org",
    "cochranelibrary.com",
    "cochrane.org",
    "crossref.org",
    "orcid.org",
    "creativecommons.org",
    "iso.org",
    "w3.org",
    "fda.gov",
    "europa.eu",
    "gmc-uk.org",
    "icmje.org",
    "equator-network.org",
    "clinicaltrials.gov",
    "isrctn.com",
    "rust-lang.org",
];

/// Endings that no public site has. Sources: RFC 6762, RFC 8375, RFC 2606, and common practice.
const INTERNAL: &[&str] =
    &[".local", ".internal", ".intranet", ".intra", ".lan", ".corp", ".home", ".private", ".localdomain"];

/// Whether this host, or the site it belongs to, is on the list.
pub fn is_known_site(host: &str) -> bool {
    let host = host.to_ascii_lowercase();
    KNOWN.iter().any(|known| host == *known || host.strip_suffix(known).is_some_and(|rest| rest.ends_with('.')))
}

fn is_internal(host: &str) -> bool {
    let host = host.split(':').next().unwrap_or(host).to_ascii_lowercase();
    let private = ["10.", "192.168.", "127.", "169.254."].iter().any(|start| host.starts_with(start))
        || (16..32).any(|second| host.starts_with(&format!("172.{second}.")));
    private || !host.contains('.') || INTERNAL.iter().any(|end| host.ends_with(end))
}

/// What this detector looks for.
pub(super) fn patterns() -> Vec<&'static Pattern> {
    vec![&URL, &MACHINE, &SIX, &PATH]
}

pub(super) fn find(text: &Searched<'_>, out: &mut Vec<Hit>) {
    if text.contains("://") || text.contains("www.") || text.contains("WWW.") {
        for captures in text.captures(&URL).into_iter().flatten() {
            let host = captures["host"].trim_end_matches('.');
            // A user's name before the host is part of the address and not of the site.
            let host = host.rsplit('@').next().unwrap_or(host);
            let Some(whole) = captures.get(0) else { continue };
            let end = whole.start() + whole.as_str().trim_end_matches(['.', ',', ';', ':']).len();
            if is_internal(host) {
                out.push(Hit { class: Class::InternalAddress, range: whole.start()..end });
            } else if !is_known_site(host.split(':').next().unwrap_or(host)) {
                out.push(Hit { class: Class::WebAddress, range: whole.start()..end });
            }
        }
    }
    scan(text, &MACHINE, Class::NetworkAddress, out, |_, captures| {
        let before = before(text, captures, 12).trim_end().to_lowercase();
        let numbering = ["version", "v", "section", "chapter", "firmware", "release", "paragraph", "table", "item"];
        !numbering.iter().any(|word| before.ends_with(word)) && !before.ends_with(['.', '/'])
    });
    scan(text, &SIX, Class::NetworkAddress, out, always);
    if text.contains('\\') || text.contains('/') {
        scan(text, &PATH, Class::UserPath, out, always);
    }
}
