// A small static server on this machine: the site under a sub-path, as a department's intranet would have it.

import http from "node:http";
import fs from "node:fs";
import path from "node:path";

const TYPES = {
  ".html": "text/html; charset=utf-8",
  ".css": "text/css; charset=utf-8",
  ".js": "text/javascript; charset=utf-8",
  ".json": "application/json",
  ".svg": "image/svg+xml",
  ".png": "image/png",
  ".jpg": "image/jpeg",
  ".woff2": "font/woff2",
  ".mp4": "video/mp4",
  ".webm": "video/webm",
  ".vtt": "text/vtt; charset=utf-8",
};

/** Serves the folder `root` under `prefix` (which begins and ends with `/`). Keeps a log of every request: `{ url, status }`. */
export async function serve(root, prefix) {
  const log = [];
  const server = http.createServer((request, response) => {
    const { pathname } = new URL(request.url, "http://localhost");
    const name = pathname.startsWith(prefix) ? decodeURIComponent(pathname.slice(prefix.length)) : null;
    const file = name === null ? null : path.join(root, name);
    // A folder is answered with 404: not every server has an index for it, so no link may lean on one.
    const inside = file !== null && !path.relative(root, file).startsWith("..");
    const found = inside && fs.existsSync(file) && fs.statSync(file).isFile();
    log.push({ url: request.url, status: found ? 200 : 404 });
    if (!found) {
      response.writeHead(404, { "Content-Type": "text/plain" }).end("not found");
      return;
    }
    // A film can only be sought in where the server answers for a part of it.
    let body = fs.readFileSync(file);
    const range = /^bytes=(\d+)-(\d*)$/.exec(request.headers.range ?? "");
    const part = {};
    if (range) {
      const [from, to] = [Number(range[1]), Math.min(range[2] ? Number(range[2]) : body.length - 1, body.length - 1)];
      part["Content-Range"] = `bytes ${from}-${to}/${body.length}`;
      body = body.subarray(from, to + 1);
    }
    response.writeHead(range ? 206 : 200, {
      ...part,
      "Accept-Ranges": "bytes",
      "Content-Length": body.length,
      "Content-Type": TYPES[path.extname(file)] ?? "application/octet-stream",
      "X-Content-Type-Options": "nosniff",
      "Cache-Control": "no-cache",
    });
    response.end(body);
  });
  await new Promise((resolve, reject) => server.once("error", reject).listen(0, "127.0.0.1", resolve));
  return {
    base: `http://127.0.0.1:${server.address().port}${prefix}`,
    log,
    close: () => new Promise((resolve) => {
      server.close(resolve);
      server.closeAllConnections();
    }),
  };
}
