// Looks at pages in a browser, as their readers do: light and dark, on a telephone, a tablet, a wide
// screen and on paper. A page must be valid HTML, say nothing on the console, fetch nothing, fit its
// width, and have no fault by axe-core's rules.
//
// Usage: node check.mjs MODULES CHROMIUM PICTURES PAGE...
//
// MODULES is the folder of axe-core, puppeteer-core and html-validate; pictures and a PDF of every
// page are put into PICTURES. A page made up of faults is tried first: a check that finds nothing
// there is no check.

import fs from "node:fs";
import path from "node:path";
import { createRequire } from "node:module";
import { pathToFileURL } from "node:url";

const [modules, chromium, pictures, ...pages] = process.argv.slice(2);
const load = createRequire(path.join(path.resolve(modules), "x.js"));
const puppeteer = load("puppeteer-core");
const { HtmlValidate } = load("html-validate");
const axe = fs.readFileSync(load.resolve("axe-core/axe.min.js"), "utf8");

const WIDTHS = [400, 800, 1600];
const SCHEMES = ["light", "dark"];

// Style, not validity: the page positions the labels of its axes with style attributes.
const RULES = { "no-inline-style": "off", "long-title": "off", "attribute-boolean-style": "off",
                "prefer-native-element": "off", "no-trailing-whitespace": "off" };

async function validity(file) {
  const validator = new HtmlValidate({ extends: ["html-validate:standard"], rules: RULES });
  const report = await validator.validateFile(file);
  return report.results.flatMap((result) => result.messages.map(
    (m) => `line ${m.line}: ${m.message} (${m.ruleId})`));
}

async function opened(browser, file, width, scheme, media) {
  const page = await browser.newPage();
  const faults = [];
  page.on("console", (message) => faults.push(`console: ${message.text()}`));
  page.on("pageerror", (error) => faults.push(`error: ${error}`));
  page.on("request", (request) => {
    if (request.url() !== pathToFileURL(file).href) faults.push(`request: ${request.url()}`);
  });
  await page.setViewport({ width, height: 900 });
  // Both at once: each of puppeteer's own two calls undoes the other.
  const client = await page.createCDPSession();
  await client.send("Emulation.setEmulatedMedia",
                    { media, features: [{ name: "prefers-color-scheme", value: scheme }] });
  await page.goto(pathToFileURL(file).href, { waitUntil: "load" });
  const seen = await page.evaluate((wanted) => matchMedia(wanted).matches,
                                   `${media} and (prefers-color-scheme: ${scheme})`);
  if (!seen) faults.push(`the page was not shown as ${media}, ${scheme}`);
  return { page, faults };
}

async function axeFaults(page) {
  await page.evaluate(axe);
  const found = await page.evaluate(() => window.axe.run(document, { resultTypes: ["violations"] }));
  return found.violations.flatMap((violation) => violation.nodes.map(
    (node) => `${violation.id}: ${node.target.join(" ")}: ${node.failureSummary}`));
}

async function overflow(page) {
  const [is, may] = await page.evaluate(
    () => [document.documentElement.scrollWidth, document.documentElement.clientWidth]);
  return is > may ? [`${is} px wide where there are ${may}`] : [];
}

// Tab goes from link to link in the order in which they are read, and shows where it is.
async function keyboard(page) {
  const links = await page.evaluate(() => [...document.querySelectorAll("a")].map((a) => a.href));
  const faults = [];
  for (const link of links.slice(0, 8)) {
    await page.keyboard.press("Tab");
    const [at, outline] = await page.evaluate(
      () => [document.activeElement.href, getComputedStyle(document.activeElement).outlineStyle]);
    if (at !== link) faults.push(`Tab went to ${at} and not to ${link}`);
    if (outline === "none") faults.push(`no outline on ${link}`);
  }
  return faults;
}

// A stone to a sheet of A4, and one for the tray: what the examples take, and no page needs less.
async function sheets(page, paper) {
  const text = fs.readFileSync(paper, "latin1");
  const count = (text.match(/\/Type \/Page\b/g) ?? []).length;
  const due = await page.evaluate(() => document.querySelectorAll("article, #tray").length);
  const faults = [];
  if (!/\/MediaBox \[0 0 594\.\d+ 841\.\d+\]/.test(text)) faults.push("the paper is not A4");
  const example = /^(stone|tray)\.pdf$/.test(path.basename(paper));
  if (example ? count !== due : count < due) faults.push(`${count} sheets for ${due}`);
  return faults;
}

async function faultsOf(browser, file) {
  const name = path.basename(file, ".html");
  const all = (await validity(file)).map((fault) => `${name}: ${fault}`);
  const note = (where, faults) => all.push(...faults.map((fault) => `${name}, ${where}: ${fault}`));
  for (const scheme of SCHEMES) {
    for (const width of WIDTHS) {
      const { page, faults } = await opened(browser, file, width, scheme, "screen");
      const where = `${scheme}, ${width} px`;
      note(where, [...await axeFaults(page), ...await overflow(page), ...await keyboard(page)]);
      note(where, faults);
      await page.evaluate(() => { document.activeElement.blur(); window.scrollTo(0, 0); });
      await page.screenshot({ path: path.join(pictures, `${name}-${scheme}-${width}.png`),
                              fullPage: true });
      await page.close();
    }
  }
  // A4 less the margins, 180 mm. Dark is a matter of screens.
  const { page, faults } = await opened(browser, file, 680, "dark", "print");
  note("print", [...await axeFaults(page), ...await overflow(page), ...faults]);
  const paper = path.join(pictures, `${name}.pdf`);
  await page.pdf({ path: paper, preferCSSPageSize: true });
  note("paper", await sheets(page, paper));
  await page.close();
  return all;
}

const FAULTY = `<!DOCTYPE html><html><head><meta charset="utf-8"><title>x</title></head>
<body style="width:2000px"><p style="color:#bbb;background:#fff">faint</p><p id="a"><p id="a">
<a href="#a" style="outline:none">leads</a>
<img src="http://127.0.0.1:9/x.png"><script>console.log("said")</script></body></html>`;
const FOUND = [/color-contrast/, /html-has-lang/, /image-alt/, /no-dup-id/, /request: http/,
               /console: said/, /the paper is not A4/, /2\d\d\d px wide/, /no outline/];

async function checkItself(browser) {
  const file = path.join(pictures, "faulty.html");
  fs.writeFileSync(file, FAULTY);
  const found = await faultsOf(browser, file);
  for (const left of fs.readdirSync(pictures).filter((name) => name.startsWith("faulty"))) {
    fs.unlinkSync(path.join(pictures, left));
  }
  return FOUND.filter((what) => !found.some((fault) => what.test(fault)))
    .map((what) => `the check itself: ${what} was not found`);
}

const browser = await puppeteer.launch({ executablePath: chromium, headless: true,
                                         args: ["--no-sandbox", "--disable-gpu"] });
try {
  const faults = await checkItself(browser);
  for (const page of pages) faults.push(...await faultsOf(browser, path.resolve(page)));
  for (const fault of faults) console.log(fault);
  console.log(faults.length > 0 ? `${faults.length} faults`
                                : `${pages.length} pages, ${FOUND.length} faults made up and found`);
  process.exitCode = faults.length > 0 ? 1 : 0;
} finally {
  await browser.close();
}
