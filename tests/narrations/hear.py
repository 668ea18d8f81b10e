#!/usr/bin/env python3
"""Speaks some narrations and writes down what a recogniser hears: noise that nobody here wrote.

Needs the Debian package espeak-ng (the synthesiser), ffmpeg (to resample) and the Python package pocketsphinx, which brings
a general model of English inside it: it knows none of the words of the trade, so this is worse than any recogniser that a
department would use. The outputs lie in `heard/`; no gate runs this script, and the figures are reported apart.

    python3 tests/narrations/hear.py            # hears every narration in LIST anew
    python3 tests/narrations/hear.py NAME…      # only these
"""

import pathlib
import re
import subprocess
import sys
import tempfile
import wave

import pocketsphinx

# Narration, voice of the synthesiser, words a minute.
LIST = [
    ("a-plain-morning", "en-us", 140),
    ("the-last-quadrant", "en-gb", 140),
    ("the-curtain", "en-us", 150),
    ("brown-stone", "en-gb-scotland", 140),
    ("seven-hours", "en-us", 140),
    ("hot-tip", "en-gb", 150),
]
HERE = pathlib.Path(__file__).parent


def seconds(clock):
    """`00:01:02.500`, `00:01:02,500` or `1:02` as seconds."""
    total = 0.0
    for part in clock.replace(",", ".").split(":"):
        total = total * 60 + float(part)
    return total


def cues(path):
    """Pairs of time and words of a narration in any of the three forms."""
    text = path.read_text(encoding="utf-8")
    if "-->" not in text:
        for line in text.splitlines():
            found = re.match(r"\[?(\d+:\d\d)\]? (.*)", line)
            if found:
                yield seconds(found[1]), found[2]
        return
    for block in re.split(r"\n\s*\n", text):
        lines = block.strip().splitlines()
        for at, line in enumerate(lines):
            if "-->" in line:
                yield seconds(line.split("-->")[0].strip()), " ".join(lines[at + 1 :])


def spoken(words, voice, speed, folder):
    """The words as 16 kHz samples."""
    raw, out = folder / "raw.wav", folder / "out.wav"
    subprocess.run(["espeak-ng", "-v", voice, "-s", str(speed), "-w", str(raw), words], check=True)
    command = ["ffmpeg", "-v", "error", "-y", "-i", str(raw), "-ar", "16000", "-ac", "1", "-sample_fmt", "s16", str(out)]
    subprocess.run(command, check=True)
    with wave.open(str(out)) as sound:
        return sound.readframes(sound.getnframes())


def main(names):
    decoder = pocketsphinx.Decoder(samprate=16000, loglevel="FATAL")
    for name, voice, speed in LIST:
        if names and name not in names:
            continue
        source = next(path for path in HERE.glob(f"{name}.*") if path.suffix in (".vtt", ".srt", ".txt"))
        lines = []
        with tempfile.TemporaryDirectory() as folder:
            for at, words in cues(source):
                decoder.start_utt()
                decoder.process_raw(spoken(words, voice, speed, pathlib.Path(folder)), full_utt=True)
                decoder.end_utt()
                heard = decoder.hyp().hypstr if decoder.hyp() else ""
                lines.append(f"{int(at) // 60}:{int(at) % 60:02} {heard}".rstrip())
        (HERE / "heard" / f"{name}.txt").write_text("\n".join(lines) + "\n", encoding="utf-8")
        print(f"{name}: {len(lines)} cues", flush=True)


if __name__ == "__main__":
    main(sys.argv[1:])
