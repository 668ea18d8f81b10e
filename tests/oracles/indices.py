"""A second reckoning of the four published models, written from the published tables without a look at the program's code or data.

Writes tests/data/second-reckoning.csv: a hash over each hundred of 10,000 random eyes. The gate reads the table alone and reckons
the same eyes itself. Run from the repository's root: python3 tests/oracles/indices.py

Sources: Muhtaseb 2004 (Br J Ophthalmol 88:1242, tables 1 and 2), Narendran 2009 (Eye 23:31, ratios as read in a digest),
the potential difficulty score (BMC Ophthalmol 2006;6:38, table 1), NZCRS (digest of Han 2020). Random numbers: SplitMix64
(Steele, Lea, Flood 2014). Facts have three states; each model gives its least, recorded and greatest value.
"""

import itertools

MASK = (1 << 64) - 1
NAMES = [
    "glaucoma", "diabetic-retinopathy", "dense-cataract", "white-cataract", "brunescent-cataract", "no-fundal-view",
    "vitreous-opacities", "pseudoexfoliation", "phacodonesis", "large-pupil", "medium-pupil", "small-pupil", "doxazosin-use",
    "alpha-antagonist-use", "cannot-lie-flat", "previous-vitrectomy", "corneal-scar", "high-ametropia", "high-myopia",
    "high-hypermetropia", "posterior-capsule-plaque", "posterior-polar-cataract", "surgeon-assessed-risk", "severe-anxiety",
    "head-tremor", "previous-angle-closure", "fellow-eye-complication", "shallow-anterior-chamber", "posterior-synechiae",
    "zonular-weakness", "only-eye",
]
# Which finding is a kind of which, as an ophthalmologist would say it.
KIND_OF = {
    "white-cataract": ["dense-cataract"],
    "brunescent-cataract": ["dense-cataract"],
    "phacodonesis": ["zonular-weakness"],
    "doxazosin-use": ["alpha-antagonist-use"],
    "high-myopia": ["high-ametropia"],
    "high-hypermetropia": ["high-ametropia"],
    # "Poor position of eye or patient" is the example that the points score gives of its last item.
    "cannot-lie-flat": ["surgeon-assessed-risk"],
}


def splitmix(seed):
    state = seed
    while True:
        state = (state + 0x9E3779B97F4A7C15) & MASK
        z = state
        z = ((z ^ (z >> 30)) * 0xBF58476D1CE4E5B9) & MASK
        z = ((z ^ (z >> 27)) * 0x94D049BB133111EB) & MASK
        yield z ^ (z >> 31)


class Eye:
    """An eye whose facts are yes, no or None."""

    def __init__(self, number):
        draw = splitmix(number)
        self.written = {name: [None, False, True][next(draw) % 3] for name in NAMES}
        self.grade = next(draw) % 7  # 0: not recorded
        self.measures = {}
        for name, least, steps, size in [("age", 1, 94, 1), ("axial", 1800, 1400, 0.01), ("pupil", 15, 75, 0.1), ("chamber", 15, 30, 0.1), ("sphere", 0, 48, 0.25)]:
            bits = next(draw)
            if bits % 3:
                whole = least + (bits // 3) % steps
                self.measures[name] = min(whole, 90) if name == "age" else whole * size
        self.male = [None, False, True][next(draw) % 3]
        self.fellow = [None, False, True][next(draw) % 3]
        self.lost = [None, False, True][next(draw) % 3]

    def has(self, name):
        if self.written.get(name) or any(self.has(kind) for kind, wider in KIND_OF.items() if name in wider):
            return True
        if self.written.get(name) is False:
            return False
        return self.denied(name)

    def denied(self, name):
        """No, if a wider finding was looked for and not there."""
        for wider in KIND_OF.get(name, []):
            if self.written.get(wider) is False or self.denied(wider) is False:
                return False
        return None


def either(*facts):
    if True in facts:
        return True
    return None if None in facts else False


def measured(eye, name, test, otherwise=None):
    if name in eye.measures:
        return test(eye.measures[name])
    return eye.has(otherwise) if otherwise else None


def dense(eye, *names):
    known = either(*[eye.has(name) for name in names])
    if known is None and 0 < eye.grade < 4:
        return False
    return known


def item(fact, weight, nothing):
    """The least, recorded and greatest weight of one item."""
    if fact is True:
        return (weight,) * 3
    if fact is False:
        return (nothing,) * 3
    return (min(weight, nothing), nothing, max(weight, nothing))


def bands(levels, nothing):
    """Of several levels the first that holds."""
    may = []
    for fact, weight in levels:
        if fact is True:
            may.append(weight)
            return (min(may), weight, max(may))
        if fact is None:
            may.append(weight)
    may.append(nothing)
    return (min(may), nothing, max(may))


def add(items):
    return tuple(sum(column) for column in zip(*items))


def multiply(items):
    out = []
    for column in zip(*items):
        product = 1.0
        for weight in column:
            product *= weight
        out.append(product)
    return tuple(out)


def muhtaseb(eye):
    ones = [
        eye.has("previous-vitrectomy"), eye.has("corneal-scar"), measured(eye, "pupil", lambda mm: mm < 3, "small-pupil"),
        measured(eye, "chamber", lambda mm: mm < 2.5, "shallow-anterior-chamber"), measured(eye, "age", lambda years: years > 88),
        measured(eye, "sphere", lambda dioptres: dioptres > 6, "high-ametropia"), eye.has("posterior-capsule-plaque"),
        eye.has("posterior-polar-cataract"), eye.has("surgeon-assessed-risk"),
    ]
    threes = [dense(eye, "dense-cataract"), eye.has("pseudoexfoliation"), eye.has("phacodonesis")]
    return add([item(fact, 1, 0) for fact in ones] + [item(fact, 3, 0) for fact in threes])


def nzcrs(eye):
    ones = [
        measured(eye, "age", lambda years: years > 88), eye.has("corneal-scar"), measured(eye, "sphere", lambda dioptres: dioptres > 6, "high-ametropia"),
        eye.has("posterior-capsule-plaque"), eye.has("posterior-polar-cataract"), measured(eye, "chamber", lambda mm: mm < 2.5, "shallow-anterior-chamber"),
        measured(eye, "pupil", lambda mm: mm < 3, "small-pupil"), eye.has("surgeon-assessed-risk"),
    ]
    threes = [dense(eye, "dense-cataract"), eye.has("pseudoexfoliation"), eye.has("phacodonesis"), eye.has("previous-vitrectomy"), either(eye.lost, eye.has("only-eye"))]
    return add([item(fact, 1, 0) for fact in ones] + [item(fact, 3, 0) for fact in threes] + [item(eye.has("alpha-antagonist-use"), 2, 0)])


def habib(eye):
    ones = [
        eye.has("cannot-lie-flat"), eye.has("severe-anxiety"), eye.has("head-tremor"), eye.has("previous-angle-closure"),
        either(eye.fellow, eye.has("fellow-eye-complication")), eye.has("previous-vitrectomy"), eye.has("corneal-scar"),
        measured(eye, "chamber", lambda mm: mm < 2.5, "shallow-anterior-chamber"), either(eye.has("small-pupil"), eye.has("posterior-synechiae")),
        eye.has("pseudoexfoliation"), eye.has("zonular-weakness"),
    ]
    length = bands([(measured(eye, "axial", lambda mm: mm > 27, "high-myopia"), 1), (measured(eye, "axial", lambda mm: mm < 20, "high-hypermetropia"), 1)], 0)
    grade = None if eye.grade == 0 else eye.grade == 3
    density = bands([(dense(eye, "dense-cataract"), 3), (grade, 2)], 1)
    return add([item(fact, 1, 0) for fact in ones] + [length, density])


def narendran(eye):
    age = bands([(measured(eye, "age", lambda years: 60 <= years <= 69), 1.14), (measured(eye, "age", lambda years: 70 <= years <= 79), 1.42),
                 (measured(eye, "age", lambda years: 80 <= years <= 89), 1.58), (measured(eye, "age", lambda years: years >= 90), 2.37)], 1.0)
    small, medium = eye.has("small-pupil"), eye.has("medium-pupil")
    # A pupil is of one size: where one is recorded the other is not there.
    if small is None and medium:
        small = False
    pupil = bands([(small, 1.45), (medium, 1.14)], 1.0)
    if eye.has("large-pupil") and eye.has("small-pupil") is not True and eye.has("medium-pupil") is not True:
        pupil = (1.0,) * 3
    ratios = [
        age, item(eye.male, 1.28, 1.0), item(eye.has("glaucoma"), 1.3, 1.0), item(eye.has("diabetic-retinopathy"), 1.63, 1.0),
        item(dense(eye, "brunescent-cataract", "white-cataract"), 2.99, 1.0), item(either(eye.has("no-fundal-view"), eye.has("vitreous-opacities")), 2.46, 1.0),
        item(either(eye.has("pseudoexfoliation"), eye.has("phacodonesis")), 2.92, 1.0), pupil,
        item(measured(eye, "axial", lambda mm: mm >= 26.0), 1.47, 1.0), item(eye.has("doxazosin-use"), 1.51, 1.0), item(eye.has("cannot-lie-flat"), 1.27, 1.0),
    ]
    return multiply(ratios)


def probability(product):
    odds = product * 0.00736 / (1 - 0.00736)
    return odds / (1 + odds)


def main():
    rows = []
    for block in range(100):
        digest = 0
        for number in range(block * 100, block * 100 + 100):
            eye = Eye(number)
            points = itertools.chain(muhtaseb(eye), habib(eye), nzcrs(eye))
            # Millionths of a probability: far below what any figure shows, far above what sums in another order change.
            risks = (round(probability(product) * 1e6) for product in narendran(eye))
            for value in itertools.chain(points, risks):
                digest = (digest * 31 + int(value)) & MASK
        rows.append(f"{block},{digest}")
    with open("tests/data/second-reckoning.csv", "w", encoding="utf-8", newline="\n") as out:
        out.write("block,digest\n" + "\n".join(rows) + "\n")


if __name__ == "__main__":
    main()
