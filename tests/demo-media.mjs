// Makes the demo's two pictures and its film: drawn, not filmed, so that they show nobody. Needs ffmpeg.
// Usage: node tests/demo-media.mjs [FOLDER], by default cases/media. The files are committed; run it again to change them.
import { spawn } from "node:child_process";
import { mkdirSync, writeFileSync } from "node:fs";

const folder = process.argv[2] ?? "cases/media";
mkdirSync(folder, { recursive: true });
const [width, height] = [480, 360];

// A small canvas of bytes: red, green, blue.
class Canvas {
  constructor(colour) {
    this.bytes = Buffer.alloc(width * height * 3);
    for (let at = 0; at < this.bytes.length; at += 3) this.bytes.set(colour, at);
  }

  dot(x, y, colour) {
    if (x >= 0 && y >= 0 && x < width && y < height) this.bytes.set(colour, (y * width + x) * 3);
  }

  disc(cx, cy, rx, ry, colour) {
    for (let y = Math.ceil(cy - ry); y <= cy + ry; y += 1) {
      for (let x = Math.ceil(cx - rx); x <= cx + rx; x += 1) {
        if (((x - cx) / rx) ** 2 + ((y - cy) / ry) ** 2 <= 1) this.dot(x, y, colour);
      }
    }
  }

  ring(cx, cy, r, thick, colour) {
    for (let y = Math.floor(cy - r - thick); y <= cy + r + thick; y += 1) {
      for (let x = Math.floor(cx - r - thick); x <= cx + r + thick; x += 1) {
        if (Math.abs(Math.hypot(x - cx, y - cy) - r) <= thick) this.dot(x, y, colour);
      }
    }
  }

  line(x0, y0, x1, y1, thick, colour) {
    const steps = Math.ceil(Math.hypot(x1 - x0, y1 - y0));
    for (let at = 0; at <= steps; at += 1) {
      this.disc(Math.round(x0 + ((x1 - x0) * at) / steps), Math.round(y0 + ((y1 - y0) * at) / steps), thick, thick, colour);
    }
  }
}

// Runs ffmpeg on raw frames, without a trace of time, place or program in the result.
function encode(frames, rate, options, file) {
  const clean = ["-map_metadata", "-1", "-fflags", "+bitexact", "-flags:v", "+bitexact"];
  const input = ["-f", "rawvideo", "-pix_fmt", "rgb24", "-s", `${width}x${height}`, "-r", String(rate), "-i", "-"];
  const ffmpeg = spawn("ffmpeg", ["-v", "error", "-y", ...input, ...options, ...clean, `${folder}/${file}`], { stdio: ["pipe", "inherit", "inherit"] });
  return new Promise((resolve, reject) => {
    ffmpeg.on("error", reject);
    ffmpeg.on("close", (code) => (code === 0 ? resolve() : reject(new Error(`ffmpeg: ${code}`))));
    (async () => {
      for (const frame of frames) {
        if (!ffmpeg.stdin.write(frame)) await new Promise((ready) => ffmpeg.stdin.once("drain", ready));
      }
      ffmpeg.stdin.end();
    })();
  });
}

const [cx, cy] = [240, 180];
const white = [232, 226, 220];
const iris = [104, 76, 52];
const dark = [30, 16, 14];
const steel = [186, 192, 198];

// The eye under the microscope: white, limbus, iris, pupil.
function eye(pupil, glow) {
  const canvas = new Canvas(white);
  canvas.disc(cx, cy, 150, 150, iris);
  canvas.ring(cx, cy, 150, 3, [150, 140, 132]);
  canvas.disc(cx, cy, pupil, pupil, glow);
  return canvas;
}

// The film: one scene for each step of the case, of the length that the case says.
// Seconds at which the steps of cases/a-low-ceiling.md begin, and the end.
const steps = [30, 70, 160, 230, 330, 380, 520, 910, 1060, 1470, 1530];
function* film() {
  for (let second = 0; second < steps[steps.length - 1]; second += 1) {
    const step = steps.findLastIndex((begin) => begin <= second);
    // The chamber grows shallow and the iris follows the wound as the operation goes on.
    const pupil = 112 - 5 * Math.max(step, 0);
    const canvas = eye(pupil, step < 3 ? [176, 92, 52] : [204, 120, 60]);
    const turn = (second % 8) / 8 * Math.PI * 2;
    if (step >= 1) canvas.ring(cx, cy, 62, 1.5, [232, 190, 150]);
    const tip = [cx + Math.cos(turn) * (20 + 4 * step), cy + Math.sin(turn) * (20 + 4 * step)];
    canvas.line(cx - 20 + 6 * step, 358, Math.round(tip[0]), Math.round(tip[1]), 4, steel);
    if (step >= 4) canvas.disc(cx - 10, cy + 146, 10 + 3 * (step - 4), 9, [84, 58, 40]);
    yield canvas.bytes;
  }
}

// A section through the front of the eye, as a scan shows it: cornea, iris, lens.
function section() {
  const canvas = new Canvas([12, 12, 14]);
  for (let x = 40; x < 440; x += 1) {
    const bow = ((x - cx) / 200) ** 2;
    for (let thick = 0; thick < 14; thick += 1) canvas.dot(x, Math.round(60 + 120 * bow + thick), [150 + ((x * 7 + thick * 13) % 60), 150, 158]);
    if (Math.abs(x - cx) > 70) for (let thick = 0; thick < 12; thick += 1) canvas.dot(x, Math.round(172 + 10 * bow + thick), [110 + ((x * 5 + thick * 3) % 50), 104, 98]);
    if (Math.abs(x - cx) < 120) {
      canvas.dot(x, Math.round(150 + 90 * ((x - cx) / 120) ** 2), [200, 200, 206]);
      canvas.dot(x, Math.round(320 - 90 * ((x - cx) / 120) ** 2), [170, 170, 178]);
    }
  }
  return canvas.bytes;
}

const captions = [
  [30, 40, "Drawn, not filmed: the order and the times are those of the case."],
  [70, 84, "Two viscoelastics: the dispersive one against the cornea first."],
  [160, 172, "A long tunnel on purpose, because this iris will want to come out."],
  [330, 344, "The second dose of fluid goes in before the first has come out."],
  [380, 396, "The globe is soft and the reflex bright: let viscoelastic out and stroke the iris back."],
  [520, 534, "The consultant operates from here on."],
  [1040, 1056, "The chamber goes, the iris comes with it, and this time the globe is hard."],
  [1060, 1076, "Finger on the wound. Nothing is aspirated any more. Close."],
]
const two = (number) => String(number).padStart(2, "0");
const stamp = (seconds) => `${two(Math.floor(seconds / 60))}:${two(seconds % 60)}.000`;
writeFileSync(
  `${folder}/low-ceiling.vtt`,
  `WEBVTT\n\n${captions.map(([from, to, words]) => `${stamp(from)} --> ${stamp(to)}\n${words}\n`).join("\n")}`,
);
await encode(film(), 1, ["-c:v", "libx264", "-profile:v", "high", "-preset", "veryslow", "-crf", "36", "-g", "30", "-pix_fmt", "yuv420p", "-movflags", "+faststart"], "low-ceiling.mp4");
await encode([eye(92, [176, 92, 52]).bytes], 1, ["-frames:v", "1", "-update", "1", "-q:v", "5"], "low-ceiling.jpg");
// Twice as wide as it is drawn, as a scan would be, so that a smaller version is published besides.
await encode([section()], 1, ["-vf", "scale=960:720:flags=neighbor", "-frames:v", "1", "-update", "1"], "low-ceiling-section.png");
