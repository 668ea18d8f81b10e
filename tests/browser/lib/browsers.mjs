// The two browsers, and a page that writes down all that happens in it.

import fs from "node:fs";
import os from "node:os";
import path from "node:path";
import puppeteer from "puppeteer-core";

/** A browser that does not answer for so many milliseconds never will. axe on a long page may take a while on a busy machine. */
const PATIENCE = 120_000;

/** The first of these programs on the PATH; a missing browser is an error, never a reason to check less. */
export function program(...names) {
  for (const name of names) {
    for (const folder of (process.env.PATH ?? "").split(path.delimiter)) {
      const file = path.join(folder, name);
      if (fs.existsSync(file)) return file;
    }
  }
  throw new Error(`none of ${names.join(", ")} is on the PATH`);
}

/** Starts a browser with an empty profile. `scripts: false` starts it with JavaScript off. */
export async function launch(name, { scripts = true } = {}) {
  const profile = fs.mkdtempSync(path.join(os.tmpdir(), `casewright-${name}-`));
  const browser = name === "firefox" ? await firefox(profile, scripts) : await chromium(profile);
  return {
    name,
    scripts,
    browser,
    close: async () => {
      await browser.close();
      fs.rmSync(profile, { recursive: true, force: true, maxRetries: 5 });
    },
  };
}

/** How Chromium is started, whoever starts it. */
export const CHROMIUM = [
  // The tests run as root in a container or chroot, where Chromium's own sandbox cannot start and /dev/shm may be small.
  "--no-sandbox",
  "--disable-dev-shm-usage",
  "--disable-gpu",
  // The browser itself stays silent, so that every request in the log is the page's.
  "--disable-quic",
  "--no-first-run",
  "--disable-background-networking",
  "--disable-component-update",
  "--disable-sync",
];

function chromium(profile) {
  return puppeteer.launch({
    executablePath: program("chromium", "chromium-browser"),
    headless: true,
    userDataDir: profile,
    protocolTimeout: PATIENCE,
    args: CHROMIUM,
  });
}

function firefox(profile, scripts) {
  return puppeteer.launch({
    browser: "firefox",
    executablePath: program("firefox-esr", "firefox"),
    headless: true,
    userDataDir: profile,
    protocolTimeout: PATIENCE,
    extraPrefsFirefox: {
      // WebDriver starts Firefox with a lax file policy that no reader has. These two put the reader's back.
      "security.fileuri.strict_origin_policy": true,
      "privacy.file_unique_origin": true,
      // WebDriver cannot turn scripts off page by page in this browser.
      "javascript.enabled": scripts,
    },
  });
}

/**
 * Opens a page that keeps a log. `faults` gathers what the browser complained of: script errors, console errors and
 * warnings, policy violations, requests that failed. `requests` holds the address of every request the browser told of.
 */
export async function open(session) {
  const page = await session.browser.newPage();
  page.setDefaultTimeout(PATIENCE);
  const faults = [];
  const requests = [];
  page.on("console", (message) => {
    if (["error", "warn", "warning"].includes(message.type())) faults.push(`console: ${message.text()}`);
  });
  page.on("pageerror", (error) => faults.push(`page error: ${error.message}`));
  page.on("request", (request) => requests.push(request.url()));
  page.on("requestfailed", (request) => faults.push(`request failed: ${request.url().slice(0, 200)}`));
  if (session.name === "chromium") {
    if (!session.scripts) await page.setJavaScriptEnabled(false);
    // The inspector's issues tell of violations with scripts off too.
    const inspector = await page.createCDPSession();
    await inspector.send("Audits.enable");
    inspector.on("Audits.issueAdded", ({ issue }) => faults.push(`issue: ${issue.code} ${JSON.stringify(issue.details)}`));
  }
  return { page, faults, requests, forget: () => (faults.splice(0), requests.splice(0)) };
}

/** Loads an address and lets deferred work settle. */
export async function visit(page, address) {
  await page.goto(address, { waitUntil: "load" });
  // Two turns of the event loop in the page's process: what a script does on load is then done, and its messages have come.
  await page.evaluate(() => document.readyState);
  await page.evaluate(() => document.title);
}
