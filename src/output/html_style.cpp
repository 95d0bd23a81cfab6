// Colours: text on its ground has a contrast of 4.5 : 1 or more and graphics of 3 : 1 or more, in
// light and dark (WCAG 2.2, 1.4.3 and 1.4.11).
#include "output/html_style.hpp"

namespace trayworth::output {

const std::string_view base_style = R"css(
:root {
  --paper: #f6f5f1; --card: #fffefb; --ink: #1b2326; --soft: #566066; --hair: #dcd9d1;
  --accent: #0c6370; --fall: #8a7f70; --tint: #e3eeee; --alarm: #8f2d1c;
  --serif: "Charter", "Bitstream Charter", "Iowan Old Style", "Palatino Linotype", "Source Serif 4",
    "Noto Serif", Georgia, serif;
  --sans: system-ui, -apple-system, "Segoe UI", "Noto Sans", "DejaVu Sans", sans-serif;
}
@media screen and (prefers-color-scheme: dark) {
  :root {
    --paper: #12171a; --card: #191f22; --ink: #e9e6df; --soft: #a6afb2; --hair: #343d41;
    --accent: #6cc5cc; --fall: #94897a; --tint: #21343a; --alarm: #f2a08c;
  }
}
* { box-sizing: border-box; }
html { background: var(--paper); color: var(--ink); -webkit-text-size-adjust: 100%; }
body {
  margin: 0 auto; max-width: 74rem; padding: 2.5rem clamp(.9rem, 3vw, 2.5rem);
  font: 1rem/1.5 var(--sans); font-variant-numeric: tabular-nums lining-nums;
  overflow-wrap: anywhere;
}
h1, h2, h3, p, ul, ol, dl, dd, figure { margin: 0; }
h1, h2 { font-family: var(--serif); font-weight: 600; line-height: 1.2; text-wrap: balance; }
h1 { font-size: 2.1rem; letter-spacing: -.01em; }
h2 { font-size: 1.6rem; }
h3 {
  font-size: .75rem; font-weight: 600; letter-spacing: .09em; text-transform: uppercase;
  color: var(--soft); margin-bottom: .6rem;
}
a { color: var(--accent); text-underline-offset: .18em; text-decoration-thickness: .06em; }
a:focus-visible { outline: 2px solid var(--accent); outline-offset: 2px; border-radius: 2px; }
p { max-width: 68ch; }
)css";

const std::string_view sheet_style = R"css(
.page { border-bottom: 2px solid var(--ink); padding-bottom: 1.5rem; margin-bottom: 2rem;
  display: grid; gap: 1rem 3rem; }
@media (min-width: 60rem) { .page { grid-template-columns: 1fr 1fr; align-items: end; } }
.page .basis { margin-top: .5rem; }
.cautions { border-left: 3px solid var(--accent); padding-left: .9rem; }
.cautions p + p { margin-top: .3rem; }
.page .cautions, footer { font-size: .9rem; }
nav { margin-top: .6rem; }
footer { color: var(--soft); border-top: 1px solid var(--hair); padding-top: 1rem; margin-top: 2rem; }

.stone, .tray {
  background: var(--card); border: 1px solid var(--hair); border-radius: 4px;
  padding: clamp(1rem, 3vw, 2.2rem); margin-bottom: 2rem;
}
h2 .id { font-family: var(--sans); font-size: .62em; font-weight: 600; color: var(--accent);
  letter-spacing: .03em; display: block; margin-bottom: .2rem; }
h2 .name::first-letter { text-transform: uppercase; }
h2 .name { display: inline-block; }
.straddles { color: var(--soft); font-size: .9rem; margin-top: .3rem; }
.headline { margin: 1.1rem 0 1.6rem; }
.headline .range { font: 600 clamp(1.7rem, 5vw, 2.5rem)/1.15 var(--serif); }
.headline .currency { font: 600 .45em var(--sans); letter-spacing: .06em; color: var(--soft); }
.headline .likely { color: var(--soft); margin: .25rem 0 .7rem; }
.headline strong { color: var(--ink); }
.stone > .cautions, .warnings { margin-bottom: 1.5rem; font-size: .93rem; }
.warnings ul { list-style: none; padding: 0 0 0 .9rem; border-left: 3px solid var(--alarm); }
.warnings h3 { color: var(--alarm); }
.warnings li + li { margin-top: .6rem; }

.columns { display: grid; gap: 2rem clamp(1.5rem, 4vw, 3.2rem); }
.columns section + section { margin-top: 1.8rem; }
@media screen and (min-width: 34rem) and (max-width: 59.99rem) {
  .seen { display: grid; grid-template-columns: minmax(0, 20rem) minmax(0, 1fr); gap: 0 2rem; }
  .seen h3 { grid-column: 1 / -1; }
  .seen dl { margin-top: .5rem; align-content: start; }
}
@media screen and (min-width: 60rem) { .columns { grid-template-columns: 21rem minmax(0, 1fr); } }

.aside, caption, figcaption { font-size: .8rem; color: var(--soft); line-height: 1.4; }
span.aside, span.limits, span.change { display: block; }
figcaption { max-width: 24rem; margin-top: .4rem; }
dl { display: grid; grid-template-columns: max-content minmax(0, 1fr); gap: .3rem 1rem;
  font-size: .93rem; margin-top: 1.1rem; }
dt { color: var(--soft); }
.faults { padding: 0; margin: 0; list-style: none; counter-reset: fault; font-size: .93rem; }
.faults li { counter-increment: fault; padding-left: 1.8rem; position: relative; }
.faults li + li { margin-top: .3rem; }
.faults li::before {
  content: counter(fault); position: absolute; left: 0; top: .1em; width: 1.25rem; height: 1.25rem;
  border: 1.5px solid var(--accent); border-radius: 50%; font-size: .72rem; line-height: 1.1rem;
  font-weight: 700; text-align: center; color: var(--accent);
}

table { border-collapse: collapse; width: 100%; font-size: .93rem; }
caption { text-align: left; padding-bottom: .5rem; }
th { font-weight: 400; text-align: left; vertical-align: top; padding: .3rem 0; }
td { text-align: right; vertical-align: top; padding: .3rem 0 .3rem clamp(.6rem, 2vw, 1.6rem);
  white-space: nowrap; }
thead th { font-size: .75rem; color: var(--soft); border-bottom: 1px solid var(--ink);
  padding-bottom: .25rem; vertical-align: bottom; }
thead th:not(:first-child) { text-align: right; padding-left: clamp(.6rem, 2vw, 1.6rem); }
tbody tr + tr > * { border-top: 1px solid var(--hair); }
.ladder tbody tr + tr > * { border-top: 0; }
.ladder .sum > *, tfoot tr > * { border-top: 1px solid var(--ink) !important; font-weight: 600; }
.read { color: var(--soft); }
.limits, .change { font-size: .8rem; color: var(--soft); line-height: 1.2; }
.ladder th[scope="row"], .budget th[scope="row"] { padding: 0; position: relative; }
.rung > div { padding: .3rem 0; width: calc(50% - .6rem); }
.fraction { display: inline-block; min-width: 7.7ch; text-align: left; }
.budget td { width: 4.5rem; padding-left: 0; }
.reckoned, .wide { container-type: inline-size; }
.swings { margin-top: 1.8rem; }
.swing td { width: 34%; white-space: normal; font-size: .8rem; line-height: 1.35; color: var(--soft); }
.swing td.down, .swing th:nth-child(2) { text-align: right; padding-right: .4rem; padding-left: 0; }
.swing td.up, .swing th:nth-child(3) { text-align: left; padding-left: .4rem;
  border-left: 1px solid var(--soft); }
.swing svg { width: 100%; height: .8rem; margin: .3rem 0 .1rem; }
.swing td.down svg { width: calc(100% + .4rem); }
.swing td.up svg { width: calc(100% + .4rem); margin-left: -.4rem; }
.swing rect.down { fill: var(--fall); }
.swing rect.up { fill: var(--accent); }
.stones .read, .stones .flag { margin-left: .6rem; font-size: .87rem; }
.stones .flag, .refused { color: var(--alarm); }
.refused { white-space: normal; text-align: left; }

svg { display: block; forced-color-adjust: none; }
.fall { position: absolute; top: 0; left: calc(50% + .6rem); width: calc(50% - .6rem); height: 100%; }
.fall .up, .fall .share, .fall .first, .fall .total { fill: var(--accent); }
.fall .down { fill: var(--fall); }
.fall .link { stroke: var(--soft); stroke-width: 1px; }
.strip .tick { stroke: var(--hair); stroke-width: 1px; }
.axis { position: relative; }
.strip { width: 100%; height: 1.25rem; }
.strip .outer { stroke: var(--soft); stroke-width: 1.5px; }
.strip .range { stroke: var(--accent); stroke-width: 8px; }
.strip .likely { stroke: var(--ink); stroke-width: 3px; }
.labels { position: relative; height: 1.1rem; font-size: .75rem; color: var(--soft); }
.labels span { position: absolute; transform: translateX(-50%); white-space: nowrap; }
.ranges { list-style: none; padding: 0; font-size: .93rem; }
.ranges li { display: grid; grid-template-columns: clamp(4rem, 14vw, 9rem) minmax(0, 1fr);
  gap: 0 1rem; align-items: center; }
.spoken { position: absolute; width: 1px; height: 1px; overflow: hidden; clip-path: inset(50%);
  white-space: nowrap; }
.tray h2 + p { margin-top: .5rem; }
.tray section { margin-top: 1.8rem; }

.drawing { max-width: 100%; height: auto; font: 11.5px var(--sans); }
.drawing .stone { fill: var(--tint); stroke: var(--ink); stroke-width: 1.4; }
.drawing .stand-in { stroke-dasharray: 5 3; }
.drawing .edge { stroke: var(--ink); stroke-width: .8; fill: none; }
.drawing .measure { stroke: var(--soft); stroke-width: .8; fill: none; }
.drawing .scale { stroke: var(--ink); stroke-width: 3; fill: none; }
.drawing text { fill: var(--ink); }
.mark circle { fill: var(--card); stroke: var(--accent); stroke-width: 1.5; }
.mark.moderate circle { stroke-width: 3; }
.mark.severe circle { fill: var(--accent); }
.drawing .mark text { fill: var(--accent); font-weight: 700; font-size: 10.5px; }
.drawing .mark.severe text { fill: var(--card); }

@media screen and (max-width: 34rem) {
  .rung > div { width: auto; }
  .ladder tbody td, .budget tbody td, .rung > div { padding-bottom: 1.6rem; }
  .fall { left: 0; top: auto; bottom: 0; width: 100cqi; height: 1.75rem; }
  .fraction { min-width: 0; }
  .stones .read, .stones .flag { display: block; margin: 0; line-height: 1.3; }
  body { padding-top: 1.4rem; }
  table { font-size: .87rem; }
}

@page { size: A4; margin: 12mm 15mm 15mm; @bottom-right { content: counter(page) " / " counter(pages);
  font: 8pt sans-serif; color: #566066; } @bottom-left { content: "An estimate for pricing stock, not an appraisal.";
  font: 8pt sans-serif; color: #566066; } }
@page invented { @bottom-left { content: "An estimate for pricing stock, not an appraisal. The prices are invented.";
  font: 8pt sans-serif; color: #566066; } }
@media print {
  :root { --paper: #fff; --card: #fff; }
  .invented { page: invented; }
  html { font-size: 8.6pt; line-height: 1.4; print-color-adjust: exact; -webkit-print-color-adjust: exact; }
  body { padding: 0; max-width: none; }
  .stone, .tray { border: 0; padding: 0; margin: 0; }
  .stone + .stone, .tray { break-before: page; }
  .page { grid-template-columns: 1fr 1fr; gap: 8mm; padding-bottom: 2.5mm;
    margin-bottom: 4mm; }
  .page .cautions { font-size: .85rem; line-height: 1.35; }
  h1 { font-size: 1.7rem; }
  h2 .id { display: inline; margin-right: .5em; }
  .headline { margin: 1mm 0 3mm; display: grid; grid-template-columns: 80mm minmax(0, 1fr);
    gap: 0 8mm; align-items: center; }
  .headline .range { font-size: 1.9rem; }
  .headline .likely { margin: 0; grid-row: 2; }
  .headline .axis { grid-row: 1 / 3; grid-column: 2; margin-right: 4mm; }
  .ranges { padding-right: 4mm; }
  .columns { display: block; }
  .columns > div:first-child { display: grid; grid-template-columns: 80mm minmax(0, 1fr);
    grid-template-rows: auto auto auto 1fr; gap: 0 8mm; margin-bottom: 2mm; }
  .seen { display: contents; }
  .seen h3 { display: none; }
  .seen figure, .seen > .aside { grid-column: 1; grid-row: 1 / 5; }
  .seen dl, .faulty, .wide { grid-column: 2; margin: 0 0 2.5mm; }
  dl { gap: .1rem 1rem; }
  .faults li + li { margin-top: .1rem; }
  .columns section + section { margin-top: 0; }
  .columns > div + div section + section { margin-top: 4mm; }
  h3 { margin-bottom: .8mm; }
  caption { padding-bottom: .6mm; }
  h2, h3, caption, thead { break-after: avoid; }
  tr, figure, li, .headline, .cautions, .columns > div:first-child { break-inside: avoid; }
  th, td, .rung > div { padding-top: .05rem !important; padding-bottom: .05rem !important; line-height: 1.28; }
  .ladder .rung > div { width: calc(73% - .6rem); }
  .fall { top: -.2em; }
  .ladder .fall { left: 73%; width: 27%; }
  .ladder .limits, .ladder .change { display: inline-block; width: 9.4em; }
  .ladder .change { width: 6em; }
  .ladder .aside { font-size: .75rem; line-height: 1.25; }
  nav, footer { display: none; }
  a { color: inherit; text-decoration: none; }
}
)css";

const std::string_view matrix_style = R"css(
h2 { margin: 2.5rem 0 .5rem; padding-top: .75rem; border-top: 3px double var(--hair);
  font-size: 1.3rem; }
h3 { font-size: 1.05rem; letter-spacing: 0; text-transform: none; color: var(--ink); margin: 0; }
p { margin: .25rem 0; }
body { max-width: 96rem; }
.soft { color: var(--soft); font-size: .9rem; }
.notice { border-left: .3rem solid var(--accent); padding-left: .7rem; margin: .75rem 0; }
.sheets { display: grid; gap: 1.75rem 2.5rem; margin-top: 1rem;
  grid-template-columns: repeat(auto-fit, minmax(min(100%, 21rem), 1fr)); align-items: start; }
.sheets > * { min-width: 0; }
.wide { overflow-x: auto; }
svg.map { display: block; width: 100%; height: auto; }
svg.map text { font: 14px system-ui, sans-serif; text-anchor: middle; }
svg.map .axis { fill: var(--ink); }
svg.map .none { fill: none; stroke: var(--hair); stroke-dasharray: 3 3; }
table { border-collapse: collapse; width: 100%; max-width: 46rem; margin-top: .35rem;
  font-variant-numeric: tabular-nums; }
caption { text-align: left; color: var(--soft); font-size: .9rem; }
th, td { padding: .2rem .6rem .2rem 0; text-align: left; border-bottom: 1px solid var(--hair);
  font-weight: normal; vertical-align: baseline; overflow-wrap: break-word; }
thead th { color: var(--soft); font-size: .9rem; }
.number { text-align: right; white-space: nowrap; }
.across { grid-column: 1 / -1; }
td.bar { width: 40%; min-width: 5rem; padding-right: 0; }
svg.bar { display: block; width: 100%; height: .8rem; }
svg.bar rect { fill: var(--accent); }
svg.bar line { stroke: var(--soft); stroke-width: 1; vector-effect: non-scaling-stroke; }
summary { cursor: pointer; color: var(--accent); font-size: .9rem; }
@page { size: A4; margin: 12mm 15mm 15mm; }
@media print { html { background: #fff; } body { max-width: none; padding: 0; } details { display: none; } }
)css";

const std::string_view report_style = R"css(
h2 { margin: 2.5rem 0 .5rem; padding-top: .75rem; border-top: 3px double var(--hair);
  font-size: 1.3rem; }
p { margin: .25rem 0; }
.soft { color: var(--soft); font-size: .9rem; }
.wide { overflow-x: auto; }
table { border-collapse: collapse; width: 100%; margin-top: .35rem; }
th, td { padding: .3rem .6rem .3rem 0; text-align: left; border-bottom: 1px solid var(--hair);
  font-weight: normal; vertical-align: top; }
thead th { color: var(--soft); font-size: .9rem; }
.number { text-align: right; white-space: nowrap; }
)css";

const std::string_view compare_style = R"css(.down { color: var(--alarm); }
.up { color: var(--accent); }
.bar { display: inline-block; height: .7em; background: currentColor; border-radius: 2px; }
summary { cursor: pointer; color: var(--accent); font-size: .9rem; }
code { font-size: .85em; overflow-wrap: anywhere; }
details table { margin: .3rem 0 .6rem; }
@media print { body { max-width: none; } }
)css";

const std::string_view fit_style = R"css(table { max-width: 58rem; }
th, td { padding-top: .25rem; padding-bottom: .25rem; vertical-align: baseline; }
th:first-child { width: 40%; min-width: 9rem; }
thead th { overflow-wrap: normal; }
th.number { white-space: normal; }
.group { font-weight: 600; padding-top: .9rem; }
.plots { display: grid; gap: 0 2.5rem;
  grid-template-columns: repeat(auto-fit, minmax(min(100%, 20rem), 1fr)); max-width: 58rem; }
svg { display: block; width: 100%; height: auto; max-width: 28rem; }
svg text { font: 4px var(--sans); fill: var(--soft); }
.under { text-anchor: middle; }
.beside { text-anchor: end; }
.frame { fill: none; stroke: var(--hair); stroke-width: .5; }
.tick { stroke: var(--hair); stroke-width: .3; }
.same { stroke: var(--soft); stroke-width: .5; stroke-dasharray: 2 2; }
.found { fill: none; stroke: var(--accent); stroke-width: .6; }
circle { fill: var(--accent); fill-opacity: .6; }
dt { font-weight: 600; margin-top: .5rem; }
@page { size: A4; margin: 12mm 15mm 15mm; }
@media print { html { background: #fff; font-size: 9pt; } body { max-width: none; padding: 0; }
  h2, thead { break-after: avoid; } tr, figure { break-inside: avoid; } }
)css";

} // namespace trayworth::output
