"""Reads an export with other people's readers: python3 tests/oracles/export.py EXPORT [PLANTED-EXPORT PLANTED.json]

- frictionless, the reference implementation of Data Package and Table Schema: the descriptor, and each table against its types,
  constraints, primary and foreign keys.
- Python's csv module: no text cell would run in a spreadsheet (OWASP, CSV Injection), numbers of number columns are numbers.
- Python's zipfile: the packages are whole, stored, and of one time.
- pyslet, a reader of IMS Content Packaging and QTI 2.1: every question is played with every option and with none; score and
  feedback are those that the tables state.
- qti-convert turns the 3.0 package into 2.1: by canonical XML (W3C C14N, in lxml) each item is then that of the 2.1 package.
- In an export with planted words no question holds a word that its case tells later.

Needs the packages of tests/oracles/export.txt.
"""

import csv
import json
import logging
import re
import subprocess
import sys
import tempfile
import warnings
import zipfile
from pathlib import Path

import frictionless
import pyslet.imscpv1p2 as packaging
import pyslet.qtiv2.variables as variables
import pyslet.qtiv2.xml as qti
from lxml import etree

warnings.simplefilter("ignore")
logging.disable(logging.CRITICAL)
passed = 0


def check(condition, what):
    global passed
    if not condition:
        sys.exit(f"a reader disagrees: {what}")
    passed += 1


def rows(export, name):
    with open(export / f"{name}.csv", encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file, strict=True))


def harmless(kind, cell):
    """Whether a cell is a number where it should be, and otherwise text wherever a spreadsheet may cut it."""
    if kind in ("number", "integer"):
        return cell == "" or re.fullmatch(r"-?[0-9]+(\.[0-9]+)?", cell)
    return not any(re.match(r"[=+\-@\t\r＝＋－＠]", piece) for piece in re.split(r"[;\t\r\n]", cell))


def tables(export):
    report = frictionless.validate(str(export / "datapackage.json"))
    errors = report.errors or report.flatten(["name", "rowNumber", "fieldName", "message"])
    check(report.valid, f"frictionless: {errors[:5]}")
    described = json.loads((export / "datapackage.json").read_text(encoding="utf-8"))
    check(report.stats["tasks"] == len(described["resources"]) > 30, "frictionless read every table")
    for resource in described["resources"]:
        kinds = {field["name"]: field["type"] for field in resource["schema"]["fields"]}
        cells = [(column, cell) for row in rows(export, resource["name"]) for column, cell in row.items()]
        wrong = [found for found in cells if not harmless(kinds[found[0]], found[1])]
        check(not wrong, f"{resource['name']} holds what a spreadsheet would run, or no number: {wrong[:3]}")
    # A broken key is seen, so that the silence above means something.
    with tempfile.TemporaryDirectory() as folder:
        for path in export.iterdir():
            (Path(folder) / path.name).write_bytes(path.read_bytes())
        steps = Path(folder) / "steps.csv"
        steps.write_bytes(steps.read_bytes().replace(b"/s1,", b"/s0,", 1))
        check(not frictionless.validate(str(Path(folder) / "datapackage.json")).valid, "frictionless sees a broken key")


def zips(export):
    for path in sorted(export.glob("*.zip")):
        with zipfile.ZipFile(path) as package:
            check(package.testzip() is None, f"{path.name} is whole")
            told = {(entry.date_time, entry.compress_type) for entry in package.infolist()}
            check(told == {((1980, 1, 1, 0, 0, 0), zipfile.ZIP_STORED)}, f"{path.name}: {told}")


def play(document, identifier):
    """The score and the feedback for one answer, or for none."""
    session = variables.ItemSessionState(document.root)
    session.begin_session()
    session.begin_attempt()
    if identifier:
        session["RESPONSE"].set_value(identifier)
    session.end_attempt()
    return session["SCORE"].value, session["FEEDBACK"].value


def questions(export):
    options = {}
    for row in rows(export, "options"):
        options.setdefault(row["decision"], {})[row["option"].rsplit("/", 1)[1]] = row
    package = packaging.ContentPackage(str(export / "questions-qti-2.1.zip"))
    resources = {resource.href for resource in package.manifest.root.Resources.Resource}
    package.close()
    listed = rows(export, "questions")
    named = sorted(str(href) for href in resources)
    check(named and named == sorted(f"items/{row['question']}.xml" for row in listed), "pyslet finds every question")
    archive = zipfile.ZipFile(export / "questions-qti-2.1.zip")
    for row in listed:
        name = f"items/{row['question']}.xml"
        document = qti.QTIDocument()
        document.read(src=archive.open(name))
        feedbacks = [feedback.identifier for feedback in document.root.QTIModalFeedback]
        mine = options[row["decision"]]
        check(sorted(feedbacks) == sorted(mine), f"{name}: feedback on each option")
        for identifier, option in mine.items():
            score, feedback = play(document, identifier)
            check(score == float(option["score"]) and feedback == identifier, f"{name}: {identifier} gives {score}")
        score, feedback = play(document, None)
        check(score == 0 and feedback is None, f"{name}: no answer gives {score}")


def canonical(text):
    root = etree.fromstring(text)
    # Both name the schema of 2.1, by two addresses.
    del root.attrib["{http://www.w3.org/2001/XMLSchema-instance}schemaLocation"]
    return etree.tostring(root, method="c14n2", strip_text=True)


def versions(export):
    with tempfile.TemporaryDirectory() as folder:
        back = Path(folder) / "back.zip"
        convert = [str(Path(sys.executable).parent / "qti-convert"), "downgrade", str(export / "questions-qti-3.0.zip"), str(back)]
        subprocess.run(convert, check=True, capture_output=True)
        with zipfile.ZipFile(back) as turned, zipfile.ZipFile(export / "questions-qti-2.1.zip") as ours:
            names = [name for name in ours.namelist() if name.startswith("items/")]
            other = [name for name in names if canonical(turned.read(name)) != canonical(ours.read(name))]
            check(names and not other, f"3.0 says what 2.1 says: {other[:3]}")


def planted(export, words):
    """What a question may hold: words of the stages up to it. Their feedback tells more."""
    listed = rows(export, "questions")
    case = [row for row in listed if any(word["word"] in row["seen"] for word in words)]
    check(len(case) >= 4, "the planted case has its questions")
    for package, body in (("questions-qti-2.1.zip", "itemBody"), ("questions-qti-3.0.zip", "qti-item-body")):
        archive = zipfile.ZipFile(export / package)
        for row in case:
            stage = int(row["number"]) - 1
            root = etree.fromstring(archive.read(f"items/{row['question']}.xml"))
            inside = " ".join(root.find(f"{{*}}{body}").itertext())
            held = " ".join([inside, row["title"], row["seen"], row["ask"], root.get("title")])
            leaks = [word["part"] for word in words if word["stage"] > stage and word["word"] in held]
            check(not leaks, f"decision {stage + 1} tells {leaks}")
            # A question stands alone: it tells what was done and seen so far, not what was asked before.
            mine = f"decision {stage + 1}:"
            known = [word for word in words if word["stage"] <= stage and word["shown"]]
            known = [word for word in known if not word["part"].startswith("decision ") or word["part"].startswith(mine)]
            lost = [word["part"] for word in known if word["word"] not in held]
            check(known and not lost, f"decision {stage + 1} lost {lost}")


def main():
    export = Path(sys.argv[1])
    tables(export)
    zips(export)
    questions(export)
    versions(export)
    if len(sys.argv) > 3:
        planted(Path(sys.argv[2]), json.loads(Path(sys.argv[3]).read_text(encoding="utf-8")))
    print(f"{passed} passed, 0 failed")


main()
