"""A second reckoning of the four published models, written from the published tables without a look at the program's code or data.

Writes tests/data/second-reckoning.csv: a hash over each hundred of 10,000 random eyes. The gate reads the table alone and reckons
the same eyes itself. Run from the repository's root: python3 tests/oracles/indices.py

Sources: Muhtaseb 2004 (Br J Ophthalmol 88:1242, table 1), Narendran 2009 (Eye 23:31, ratios as read in a digest), the potential
difficulty score (BMC Ophthalmol 2006;6:38, table 1), NZCRS (digest of Han 2020). Random numbers: SplitMix64 (Steele, Lea, Flood
2014). Facts are yes, no or not recorded. The bounds of an item are found by trying every way in which what was not recorded may
be, and weighing the whole eye that results; the program never does that.
"""

import itertools

MASK = (1 << 64) - 1
NAMES = [
    "glaucoma", "diabetic-retinopathy", "dense-cataract", "white-cataract", "brunescent-cataract", "no-fundal-view",
    "vitreous-opacities", "pseudoexfoliation", "phacodonesis", "large-pupil", "medium-pupil", "small-pupil", "doxazosin-use",
    "alpha-antagonist-use", "cannot-lie-flat", "previous-vitrectomy", "corneal-scar", "corneal-oedema-before-surgery",
    "high-ametropia", "high-myopia", "high-hypermetropia", "long-eye", "posterior-capsule-plaque", "posterior-polar-cataract",
    "surgeon-assessed-risk", "severe-anxiety", "head-tremor", "previous-angle-closure", "fellow-eye-complication",
    "shallow-anterior-chamber", "posterior-synechiae", "zonular-weakness", "only-eye",
]
# Which finding is a kind of which, as an ophthalmologist would say it.
WIDER = {
    "white-cataract": "dense-cataract",
    "brunescent-cataract": "dense-cataract",
    "phacodonesis": "zonular-weakness",
    "doxazosin-use": "alpha-antagonist-use",
    "high-myopia": "high-ametropia",
    "high-hypermetropia": "high-ametropia",
    # "Poor position of eye or patient" is the example that the points score gives of its last item.
    "cannot-lie-flat": "surgeon-assessed-risk",
}
# Name, least, steps, size of a step. The refraction is a spherical equivalent without its sign.
MEASURES = [("age", 1, 94, 1), ("axial", 1800, 1400, 0.01), ("pupil", 15, 75, 0.1), ("chamber", 15, 30, 0.1), ("ametropia", 0, 48, 0.25)]
# Values, one on each side of every limit in the tables, that a measure may have had where it is not on record.
POSSIBLE = {"age": [50, 65, 75, 85, 89, 90], "axial": [19, 23, 26, 28], "pupil": [2, 4], "chamber": [2, 3], "ametropia": [3, 7]}


def splitmix(seed):
    state = seed
    while True:
        state = (state + 0x9E3779B97F4A7C15) & MASK
        z = state
        z = ((z ^ (z >> 30)) * 0xBF58476D1CE4E5B9) & MASK
        z = ((z ^ (z >> 27)) * 0x94D049BB133111EB) & MASK
        yield z ^ (z >> 31)


def draw_eye(number):
    """What is on record of an eye: findings, grade of the nucleus (0: none), measures, sex, fellow eye."""
    draw = splitmix(number)
    state = lambda: [None, False, True][next(draw) % 3]
    written = {name: state() for name in NAMES}
    eye = {"grade": (next(draw) % 13) / 2 or None}
    for name, least, steps, size in MEASURES:
        bits = next(draw)
        value = least + (bits // 3) % steps
        eye[name] = (min(value, 90) if name == "age" else value * size) if bits % 3 else None
    eye["male"], eye["fellow-complication"], eye["fellow-lost"] = state(), state(), state()
    for name in NAMES:
        here_or_narrower = [name] + [kind for kind, wider in WIDER.items() if wider == name]
        here_or_wider = [name] + ([WIDER[name]] if name in WIDER else [])
        if any(written[it] for it in here_or_narrower):
            eye[name] = True
        elif any(written[it] is False for it in here_or_wider):
            eye[name] = False
        else:
            eye[name] = None
    return eye


def item(eye, weigh, *facts, stands_in=None):
    """Least, recorded and greatest weight of one item: `weigh` reckons it of these facts once they are all known.

    `stands_in` is a pair: a measure, and the finding that decides where it is not on record, through what `weigh` makes of it.
    """
    choices, taken = [], []
    for fact in facts:
        known = eye[fact]
        measured = fact in POSSIBLE or fact == "grade"
        if known is None and stands_in and fact == stands_in[0] and eye[stands_in[1]] is not None:
            known, measured = eye[stands_in[1]], False
        if known is not None:
            choices.append([known])
        elif measured:
            choices.append([None] + ([1, 3, 5] if fact == "grade" else POSSIBLE[fact]))
        else:
            choices.append([False, True])
        taken.append(choices[-1][0])
    weights = [weigh(*values) for values in itertools.product(*choices)]
    return min(weights), weigh(*taken), max(weights)


def yes(weight, nothing):
    return lambda *there: weight if any(there) else nothing


def beyond(limit, weight, nothing):
    """An item that holds where a measure lies beyond its limit, or where the finding that stands in for it is there."""
    return lambda value: weight if value is True or (value is not None and value is not False and limit(value)) else nothing


def below_three(mm):
    return mm < 3


def below_two_and_a_half(mm):
    return mm < 2.5


def over_88(years):
    return years > 88


def over_six(dioptres):
    return dioptres > 6


def points(eye, number, *findings):
    return item(eye, yes(number, 0), *findings)


def measured_point(eye, limit, measure, finding=None):
    return item(eye, beyond(limit, 1, 0), measure, stands_in=(measure, finding) if finding else None)


def settled_lens(eye):
    """A nucleus graded below 4 is taken as not dense, white or brunescent where nothing else is on record."""
    if not eye["grade"] or eye["grade"] >= 4:
        return eye
    kinds = ("dense-cataract", "white-cataract", "brunescent-cataract")
    return eye | {kind: False for kind in kinds if eye[kind] is None}


def either_lens(eye, weight, nothing, *kinds):
    """An item of dense lenses; a grade settles those of which nothing is on record, unless one of the others is there."""
    return item(settled_lens(eye), yes(weight, nothing), *kinds)


def shared_points(eye):
    """What Muhtaseb and New Zealand weigh alike: one point each."""
    return [
        points(eye, 1, "corneal-scar"), measured_point(eye, below_three, "pupil", "small-pupil"),
        measured_point(eye, below_two_and_a_half, "chamber", "shallow-anterior-chamber"), measured_point(eye, over_88, "age"),
        measured_point(eye, over_six, "ametropia", "high-ametropia"), points(eye, 1, "posterior-capsule-plaque"),
        points(eye, 1, "posterior-polar-cataract"), points(eye, 1, "surgeon-assessed-risk"),
    ]


def shared_threes(eye):
    return [either_lens(eye, 3, 0, "dense-cataract"), points(eye, 3, "pseudoexfoliation"), points(eye, 3, "phacodonesis")]


def muhtaseb(eye):
    return add(shared_points(eye) + shared_threes(eye) + [points(eye, 1, "previous-vitrectomy")])


def nzcrs(eye):
    return add(shared_points(eye) + shared_threes(eye) + [
        points(eye, 3, "previous-vitrectomy"), points(eye, 3, "fellow-lost", "only-eye"), points(eye, 2, "alpha-antagonist-use")])


def habib_density(dense, grade):
    """Table 1: grade 1 and 2, one point; grade 3, two; mature, brunescent, white, dense or total, three."""
    if dense:
        return 3
    return 2 if grade is not None and grade >= 3 else 1


def habib_length(mm):
    """High myopia is a length over 27 mm, high hypermetropia one under 20 mm."""
    return 1 if mm is not None and (mm > 27 or mm < 20) else 0


def habib(eye):
    ones = [
        ("cannot-lie-flat",), ("severe-anxiety",), ("head-tremor",), ("previous-angle-closure",),
        ("fellow-complication", "fellow-eye-complication"), ("previous-vitrectomy",),
        ("corneal-scar", "corneal-oedema-before-surgery"), ("small-pupil", "posterior-synechiae"), ("pseudoexfoliation",),
        ("zonular-weakness",),
    ]
    return add([points(eye, 1, *findings) for findings in ones] + [
        measured_point(eye, below_two_and_a_half, "chamber", "shallow-anterior-chamber"), item(eye, habib_length, "axial"),
        item(settled_lens(eye), habib_density, "dense-cataract", "grade")])


def narendran_age(years):
    if years is None or years < 60:
        return 1.0
    return 1.14 if years < 70 else 1.42 if years < 80 else 1.58 if years < 90 else 2.37


def narendran_pupil(eye):
    """A pupil is of one size; of two on record the smaller counts. None on record is taken as large."""
    sizes = [("small-pupil", 1.45), ("medium-pupil", 1.14), ("large-pupil", 1.0)]
    there = [ratio for name, ratio in sizes if eye[name]]
    if there:
        return (there[0],) * 3
    may = [ratio for name, ratio in sizes if eye[name] is None] + [1.0]
    return min(may), 1.0, max(may)


def narendran(eye):
    ratio = lambda weight, *facts: item(eye, yes(weight, 1.0), *facts)
    lens = either_lens(eye, 2.99, 1.0, "brunescent-cataract", "white-cataract")
    return multiply([
        item(eye, narendran_age, "age"), ratio(1.28, "male"), ratio(1.3, "glaucoma"), ratio(1.63, "diabetic-retinopathy"), lens,
        ratio(2.46, "no-fundal-view", "vitreous-opacities"), ratio(2.92, "pseudoexfoliation", "phacodonesis"), narendran_pupil(eye),
        item(eye, beyond(lambda mm: mm >= 26.0, 1.47, 1.0), "axial", stands_in=("axial", "long-eye")), ratio(1.51, "doxazosin-use"),
        ratio(1.27, "cannot-lie-flat"),
    ])


def add(items):
    return [sum(column) for column in zip(*items)]


def multiply(items):
    out = [1.0, 1.0, 1.0]
    for weights in items:
        out = [product * weight for product, weight in zip(out, weights)]
    return out


def probability(product):
    """Ratios multiply odds."""
    odds = product * 0.00736 / (1 - 0.00736)
    return odds / (1 + odds)


def main():
    rows = ["block,digest"]
    for block in range(100):
        digest = 0
        for number in range(block * 100, block * 100 + 100):
            eye = draw_eye(number)
            # Millionths of a probability: far below what any figure shows, far above what sums in another order change.
            risks = [round(probability(product) * 1e6) for product in narendran(eye)]
            for value in muhtaseb(eye) + habib(eye) + nzcrs(eye) + risks:
                digest = (digest * 31 + int(value)) & MASK
        rows.append(f"{block},{digest}")
    with open("tests/data/second-reckoning.csv", "w", encoding="utf-8", newline="\n") as out:
        out.write("\n".join(rows) + "\n")


if __name__ == "__main__":
    main()
