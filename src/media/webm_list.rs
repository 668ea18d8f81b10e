//! What of a WebM film stays: elements on a list, numbers only as long as numbers are.
//!
//! Sources: RFC 8794, section 11.2 (head); RFC 9559, section 5 (the rest); the WebM container guidelines for what browsers heed.

/// What is done with an element.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Manner {
    /// It holds others, which are looked at in turn.
    Opens,
    /// A number of at most eight bytes.
    Number,
    /// A language: three letters, as ISO 639-2 has them.
    Language,
    /// Samples.
    Samples,
}

use Manner::{Language, Number, Opens, Samples};

/// By the element that holds it: its name and what is done with it. What is not here goes.
#[rustfmt::skip]
const LIST: &[(u64, &[(u64, Manner)])] = &[
    // The head of the file; its kind of document is looked at by itself.
    (0x1a45_dfa3, &[(0x4286, Number), (0x42f7, Number), (0x42f2, Number), (0x42f3, Number), (0x4287, Number), (0x4285, Number)]),
    // Where parts stand.
    (0x114d_9b74, &[(0x4dbb, Opens)]),
    (0x4dbb, &[(0x53ab, Number), (0x53ac, Number)]),
    // Where times stand.
    (0x1c53_bb6b, &[(0xbb, Opens)]),
    (0xbb, &[(0xb3, Number), (0xb7, Opens)]),
    (0xb7, &[(0xf7, Number), (0xf1, Number), (0xf0, Number), (0xb2, Number), (0x5378, Number), (0xea, Number)]),
    // Picture and sound, and what of a group of them is numbers.
    (0x1f43_b675, &[(0xe7, Number), (0xa7, Number), (0xab, Number), (0xa3, Samples), (0xa0, Opens)]),
    (0xa0, &[(0xa1, Samples), (0x9b, Number), (0xfb, Number), (0xfa, Number), (0x75a2, Number)]),
    // A track; its kind, its codec and the codec's settings are looked at by themselves.
    (
        0xae,
        &[
            (0xd7, Number), (0x73c5, Number), (0x83, Number), (0xb9, Number), (0x88, Number), (0x55aa, Number),
            (0x55ab, Number), (0x55ac, Number), (0x55ad, Number), (0x55ae, Number), (0x55af, Number), (0x9c, Number),
            (0x6de7, Number), (0x6df8, Number), (0x23_e383, Number), (0x23_4e7a, Number), (0x23_314f, Number),
            (0x55ee, Number), (0x22_b59c, Language), (0xaa, Number), (0x56aa, Number), (0x56bb, Number), (0xe0, Opens),
            (0xe1, Opens),
        ],
    ),
    // Pictures: measures, shape, colours.
    (
        0xe0,
        &[
            (0x9a, Number), (0x9d, Number), (0x53b8, Number), (0x53c0, Number), (0xb0, Number), (0xba, Number),
            (0x54aa, Number), (0x54bb, Number), (0x54cc, Number), (0x54dd, Number), (0x54b0, Number), (0x54ba, Number),
            (0x54b2, Number), (0x55b0, Opens),
        ],
    ),
    (
        0x55b0,
        &[
            (0x55b1, Number), (0x55b2, Number), (0x55b3, Number), (0x55b4, Number), (0x55b5, Number), (0x55b6, Number),
            (0x55b7, Number), (0x55b8, Number), (0x55b9, Number), (0x55ba, Number), (0x55bb, Number), (0x55bc, Number),
            (0x55bd, Number), (0x55d0, Opens),
        ],
    ),
    (
        0x55d0,
        &[
            (0x55d1, Number), (0x55d2, Number), (0x55d3, Number), (0x55d4, Number), (0x55d5, Number), (0x55d6, Number),
            (0x55d7, Number), (0x55d8, Number), (0x55d9, Number), (0x55da, Number),
        ],
    ),
    // Sound.
    (0xe1, &[(0xb5, Number), (0x78b5, Number), (0x9f, Number), (0x6264, Number)]),
];

/// What is done with an element of this many bytes inside another; None if it goes.
pub(super) fn manner(parent: u64, id: u64, len: u64) -> Option<Manner> {
    let inside = LIST.iter().find(|(holds, _)| *holds == parent)?.1;
    let (_, manner) = inside.iter().find(|(known, _)| *known == id)?;
    let fits = match manner {
        Number => len <= 8,
        Language => len <= 3,
        Opens | Samples => true,
    };
    fits.then_some(*manner)
}
