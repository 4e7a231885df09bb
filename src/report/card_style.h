#pragma once

#include <string_view>

namespace revwright::report {

/// The card's own style: paper first, then desk and phone. Black on white, so that a copy loses nothing; what stops the
/// run is told by frame and words, its colour (vermillion of [OkabeIto2008]) only repeats it.
inline constexpr std::string_view kCardStyle = R"(
:root{color-scheme:light dark;--paper:#fff;--ink:#1b1f23;--quiet:#4c545c;--rule:#b9c0c7;--stop:#b34700}
*{box-sizing:border-box}
body{margin:0 auto;padding:24px;max-width:920px;background:var(--paper);color:var(--ink);
font:14px/1.38 system-ui,"DejaVu Sans",sans-serif}
header{display:flex;justify-content:space-between;align-items:baseline;gap:1em;border-bottom:3px solid var(--ink);
padding-bottom:6px}
h1{font-size:1.5em;line-height:1.2;margin:0}
header p{margin:0;color:var(--quiet);white-space:nowrap}
h2{font-size:1.03em;margin:0 0 4px;padding-bottom:2px;border-bottom:1px solid var(--rule)}
section{margin:12px 0 0;break-inside:avoid}
.columns{display:grid;grid-template-columns:minmax(0,1fr) minmax(0,1fr);gap:0 22px}
.image p{margin:2px 0}
code,pre{font-family:ui-monospace,"DejaVu Sans Mono",monospace}
.digest{font-size:1.02em;font-weight:bold;display:block;margin:3px 0}
.digest span{display:inline-block;margin-right:.8em}
ul,ol{margin:0;padding:0;list-style:none}
li{margin:3px 0;padding-left:1.75em;position:relative}
li .detail{color:var(--quiet)}
li::before{position:absolute;left:0}
ul.tick li::before{content:"";width:.95em;height:.95em;top:.2em;border:1.3px solid var(--ink);border-radius:2px}
ul.plain li{padding-left:1.1em}
ul.plain li::before{content:"\2013"}
ol{counter-reset:step}
ol li{counter-increment:step}
ol li::before{content:counter(step) ".";font-weight:bold}
table{border-collapse:collapse;width:100%}
td,th{padding:1.5px 6px 1.5px 0;text-align:left;vertical-align:baseline;font-weight:normal}
td:last-child,th:last-child{padding-right:0}
tr+tr td,tr+tr th{border-top:1px solid var(--rule)}
thead th{color:var(--quiet)}
.number{text-align:right;white-space:nowrap;font-variant-numeric:tabular-nums}
.lift{border:3px solid var(--stop);padding:6px 10px}
.lift h2{border:0;color:var(--stop);font-size:1.15em;margin:0}
.lift td.number{font-weight:bold}
.lift small,.note{display:block;color:var(--quiet);font-size:.88em;margin:2px 0 0}
.halt{border:4px solid var(--stop);padding:8px 12px;margin-top:12px}
.halt h2{border:0;color:var(--stop);font-size:1.3em;margin:0}
.halt p{margin:2px 0}
pre{margin:4px 0 0;padding:6px 8px;border:1px solid var(--rule);font-size:.84em;line-height:1.3;overflow-x:auto}
.cautions{border-top:1px solid var(--ink);margin-top:12px;padding-top:5px;font-size:.88em;color:var(--quiet)}
@media screen and (prefers-color-scheme:dark){
:root{--paper:#14171a;--ink:#e8eaed;--quiet:#aeb6be;--rule:#454c53;--stop:#ff7a1f}}
@media screen and (max-width:700px){body{padding:14px}.columns{display:block}header{display:block}
header p{white-space:normal}}
@page{size:A4;margin:9mm 11mm}
@media print{:root{color-scheme:light}body{padding:0;max-width:none;font-size:8.1pt;line-height:1.26}
section{margin-top:6px}li{margin:1px 0}td,th{padding-top:.5px;padding-bottom:.5px}.cautions{margin-top:6px}
pre{white-space:pre-wrap}}
)";

}  // namespace revwright::report
