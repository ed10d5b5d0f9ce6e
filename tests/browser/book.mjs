// Opens written books in a browser that reaches nothing but the folder: what every test of this folder shares.
import { chromium } from "playwright-core";
import { readdirSync, statSync } from "node:fs";
import { join, relative } from "node:path";
import { pathToFileURL } from "node:url";

export const book = process.env.BOOK;
// The same book in Spanish, on the other paper, with a false result in it.
export const draft = process.env.DRAFT;
// A new book whose study pack is an exam edition.
export const exam = process.env.EXAM;
// The reference of what may be written.
export const reference = process.env.REFERENCE;
// A book whose every name and text tries to run something.
export const hostile = process.env.HOSTILE;
if (!book || !draft || !exam || !hostile || !reference) throw new Error("BOOK, DRAFT, EXAM, HOSTILE and REFERENCE name no folders: tests/browser/run sets them");

// Every page of a book, as paths with `/`; the study pack stands alone in its own folder and has its own tests.
export function pages(folder = book) {
  const found = [];
  const walk = (at) => {
    for (const name of readdirSync(at).sort()) {
      const path = join(at, name);
      if (statSync(path).isDirectory()) {
        if (relative(folder, path) !== "study") walk(path);
      } else if (name.endsWith(".html")) found.push(relative(folder, path).replaceAll("\\", "/"));
    }
  };
  walk(folder);
  return found;
}

// One page of each kind, and each of the author's kinds.
export function kinds(folder = book) {
  const all = pages(folder);
  const first = (start, not = "") => all.find((page) => page.startsWith(start) && page !== not);
  const own = all.filter((page) => page.startsWith("pages/"));
  const chosen = [
    "index.html", "glossary.html", "proved.html", "sheets/index.html",
    first("circuits/"), first("data/"), first("map/"), "lists/wires.html", "lists/grounds.html", "lists/connectors.html",
    first("sheets/", "sheets/index.html"), all.find((page) => /^sheets\/.*trouble-/.test(page)),
    own.find((page) => /checkout/.test(page)), own.find((page) => /trouble/.test(page)),
    own.find((page) => !/checkout|trouble/.test(page)), own.find((page) => /lift\.html/.test(page)),
  ];
  return [...new Set(chosen.filter(Boolean))];
}

export const address = (page, folder = book) => pathToFileURL(join(folder, page)).href;

export async function launch() {
  return chromium.launch({
    executablePath: "/usr/bin/chromium",
    args: ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
      "--disable-component-update", "--disable-sync"],
  });
}

// A page with the network cut, that notes every complaint and every request outside the folder.
export async function open(browser, options = {}) {
  const context = await browser.newContext(options);
  await context.setOffline(true);
  const page = await context.newPage();
  const noted = [];
  page.on("console", (message) => {
    if (message.type() === "error" || message.type() === "warning") noted.push(`console: ${message.text()}`);
  });
  page.on("pageerror", (error) => noted.push(`error: ${error.message}`));
  page.on("request", (request) => {
    if (!request.url().startsWith("file:")) noted.push(`request: ${request.url()}`);
  });
  page.on("requestfailed", (request) => noted.push(`failed: ${request.url()}`));
  return { context, page, noted };
}
