#include "handoff/report_sections.h"

namespace seamwright::report {

namespace {

constexpr std::string_view kStyle = R"css(
:root{--paper:#faf8f3;--ink:#2b2530;--soft:#6f6774;--line:#ddd6c9;--accent:#5d3b6b;--card:#fffefb}
*{box-sizing:border-box}
html{-webkit-text-size-adjust:100%}
body{margin:0;background:var(--paper);color:var(--ink);font:16px/1.5 "Iowan Old Style","Palatino Linotype",Palatino,"Book Antiqua",Georgia,serif;
 font-variant-numeric:lining-nums tabular-nums}
main{max-width:1320px;margin:0 auto;padding:1rem 1.6rem 4rem}
h1,h2,h3,dt,th,.over,.chip,.mark,.tag,.fact strong,button,.bar,.bed span{font-family:"Gill Sans","Gill Sans MT",Optima,Candara,"Noto Sans","Segoe UI",
 sans-serif}
header{margin-bottom:.8rem}
.over{margin:0;color:var(--accent);letter-spacing:.14em;text-transform:uppercase;font-size:.74rem;font-weight:600}
h1{margin:.1rem 0 .1rem;font-size:2rem;line-height:1.15;font-weight:600;overflow-wrap:anywhere}
.sub{margin:0;color:var(--soft)}.sub b{color:var(--ink)}
h2{font-size:1.15rem;font-weight:600;margin:2.2rem 0 .6rem;padding-top:.5rem;border-top:1px solid var(--line)}
.beds h2,.order h2{margin-top:.8rem}
h3{font-size:1rem;font-weight:600;margin:1.4rem 0 .4rem}
p{max-width:75ch}
code{font:.82em/1.4 ui-monospace,"DejaVu Sans Mono",Menlo,Consolas,monospace;overflow-wrap:anywhere}
.hero{display:grid;grid-template-columns:minmax(0,1.75fr) minmax(17rem,1fr);gap:1.8rem;align-items:center}
figure{margin:0}figure.drawing svg{max-width:100%;height:auto}
figcaption{color:var(--soft);font-size:.86rem;margin-top:.3rem}
.shot{position:relative}
.shot img{display:block;width:100%;height:auto;border-radius:4px}
.mark{position:absolute;transform:translate(-50%,-50%);font-weight:600;font-size:.86rem;line-height:1;color:var(--ink);background:rgba(255,254,251,
 .84);padding:.16em .34em;border-radius:3px;white-space:nowrap}
.facts{margin:0;display:grid;gap:.55rem}
.fact{border-left:3px solid var(--accent);padding-left:.85rem}
dt{font-size:.74rem;letter-spacing:.09em;text-transform:uppercase;color:var(--soft)}
dd{margin:0}
.fact strong{display:block;font-size:1.3rem;line-height:1.2;font-weight:600}
.fact span{font-size:.84rem;line-height:1.34;display:block;color:var(--soft)}
.tag{font-style:normal;font-size:.7rem;letter-spacing:.03em;color:var(--accent);border:1px solid currentColor;border-radius:2px;padding:0 .32em;
 white-space:nowrap;opacity:.85}
.chip{display:inline-block;border-bottom:4px solid var(--c);padding:0 .12em;line-height:1.15;font-weight:600}
.pair{white-space:nowrap}
.basis{color:var(--soft);font-size:.84rem;margin:.6rem 0 0;max-width:95ch}
.notice{background:#f6e7d8;border-left:4px solid #b4622d;padding:.6rem .9rem;max-width:none}
.row{display:grid;grid-template-columns:repeat(auto-fill,minmax(132px,1fr));gap:.6rem}
.bed{background:var(--card);border:1px solid var(--line);border-radius:4px;overflow:hidden;break-inside:avoid}
.bed img{border-radius:0}
.bed p{margin:0;padding:.2rem .5rem .35rem;display:flex;justify-content:space-between;align-items:flex-start;font-size:1.05rem}
.bed span{font-size:.76rem;line-height:1.3;text-align:right;color:var(--soft)}
.curves{grid-template-columns:repeat(auto-fill,minmax(260px,1fr))}
.layers{break-inside:avoid}.layers p{margin:.2rem 0}.layers span{color:var(--soft);font-size:.8rem}
.curve{display:block;width:100%;height:auto}.curve text{font:9px "Gill Sans","Noto Sans",sans-serif;fill:var(--soft)}
.curve .fill{fill:#cdbcd6}.curve .most{fill:none;stroke:var(--accent);stroke-width:1}.curve .axis{fill:none;stroke:var(--soft);stroke-width:1}
.order ol{list-style:none;counter-reset:s;margin:0;padding:0;display:flex;flex-wrap:wrap;gap:.5rem .6rem}
.order li{counter-increment:s;background:var(--card);border:1px solid var(--line);border-radius:4px;padding:.18rem .6rem .28rem;break-inside:avoid}
.order li::before{content:counter(s) ".";color:var(--soft);font-size:.82rem;margin-right:.45em}
.order small{color:var(--soft)}.order .seam{margin-left:.5em;border-left:1px solid var(--line);padding-left:.5em}
summary{cursor:pointer;color:var(--accent)}
.wide{overflow-x:auto}
table{border-collapse:collapse;width:100%;font-size:.93rem}
th{font-size:.74rem;letter-spacing:.06em;text-transform:uppercase;color:var(--soft);font-weight:600;text-align:left;
 border-bottom:2px solid var(--line)}
td code{overflow-wrap:normal;white-space:nowrap}
td,th{padding:.34rem .8rem .34rem 0;vertical-align:top}
td{border-bottom:1px solid var(--line)}
.n{text-align:right}
td.n{white-space:nowrap}
ol.steps{padding-left:1.4rem}.steps li,ul li{margin:.34rem 0;max-width:85ch}
ul{padding-left:1.2rem}
#stage{background:var(--card);border:1px solid var(--line);border-radius:4px;position:relative;overflow:hidden}
canvas{display:block;width:100%;height:min(64vh,640px);touch-action:none;cursor:grab}
canvas:active{cursor:grabbing}
canvas:focus-visible,button:focus-visible,input:focus-visible{outline:3px solid #b88a2e;outline-offset:-3px}
#names{position:absolute;inset:0;pointer-events:none;overflow:hidden}
.bar{display:flex;flex-wrap:wrap;gap:.5rem 1.3rem;align-items:center;padding:.55rem .9rem;border-top:1px solid var(--line);font-size:.9rem;
 position:relative;background:var(--card)}
.bar label{display:inline-flex;align-items:center;gap:.45rem}
input{accent-color:var(--accent)}
input[type=range]{width:min(15rem,38vw)}
button{font-size:.9rem;border:1px solid var(--accent);background:none;color:var(--accent);border-radius:3px;padding:.28rem .75rem;cursor:pointer}
button:hover{background:var(--accent);color:#fff}
.hint{color:var(--soft);font-size:.8rem}
.live #still{display:none}
@media (max-width:860px){
 main{padding:1rem 1rem 3rem}.hero{grid-template-columns:minmax(0,1fr);gap:1rem}h1{font-size:1.6rem}
 .row{grid-template-columns:repeat(auto-fill,minmax(140px,1fr))}
 .mark{font-size:.72rem}
}
@media (max-width:640px){
 thead{display:none}tr{display:block;border-bottom:1px solid var(--line);padding:.5rem 0}
 td,td.n{display:flex;justify-content:space-between;gap:1rem;text-align:right;border:0;padding:.12rem 0;white-space:normal}
 td::before{content:attr(data-h);color:var(--soft);font-size:.8rem;text-align:left;flex:none}
 td:empty{display:none}
}
@page{margin:14mm}
@media print{
 body{background:#fff;font-size:10.5pt}main{max-width:none;padding:0}
 .hero{grid-template-columns:1.5fr 1fr;gap:1rem}.row{grid-template-columns:repeat(4,1fr)}
 #stage{display:none!important}.live #still{display:block}
 h2{break-after:avoid}tr,li{break-inside:avoid}.wide{overflow:visible}td,th{padding-right:.5rem}
 .shot img,.chip,.fact,.mark{-webkit-print-color-adjust:exact;print-color-adjust:exact}
 table{font-size:8.6pt}.fact strong{font-size:13pt}
}
)css";

}  // namespace

std::string_view style() {
  return kStyle;
}

}  // namespace seamwright::report
