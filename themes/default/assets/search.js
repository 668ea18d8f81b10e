// Made from themes/scripts by tests/browser/tighten.mjs; change it there.
var casewright={};casewright.words=function(){"use strict"
;const e=new Set("a about above after again against all am an and any are as at be because been before being below between both but by can could did do does doing don down during each few for from further had has have having he her here hers herself him himself his how i if in into is it its itself just me more most my myself no nor not now of off on once or other ought our ours ourselves out over own s same she should so some such t than that the their theirs them themselves then there these they this those through to too under until up very was we were what when where which while who whom why will with would you your yours yourself yourselves".split(" ")),t=e=>e.split(" ").map(e=>e.split(":")),n=new Map(t("œ:oe Œ:OE æ:ae Æ:AE ø:o Ø:O ł:l Ł:L ß:ss ẞ:SS")),s=t("oedem:edem oesoph:esoph oestr:estr foet:fet hoea:hea pnoe:pne amoeb:ameb homoeo:homeo coeli:celi sulph:sulf rrhexis:rhexis manoeuv:maneuv centred:centered centring:centering"),o=t("isations:izations:3 isation:ization:3 ising:izing:3 isers:izers:3 iser:izer:3 ised:ized:3 ises:izes:3 ise:ize:3 ysing:yzing:3 ysed:yzed:3 yser:yzer:3 yse:yze:3 ouring:oring:3 ourless:orless:3 oured:ored:3 ours:ors:3 our:or:3 itred:itered:3 uvred:uvered:3 tres:ters:2 tre:ter:2 bres:bers:2 bre:ber:2 vres:vers:2 vre:ver:2 ogues:ogs:3 ogue:og:3 grey:gray:0")
;function l(e){if(e.length<5||!/^[a-z]+$/.test(e))return e;for(const[t,n]of s)e=e.split(t).join(n);if(e.startsWith("leuco")&&(e="leuko"+e.slice(5)),
e.endsWith("ae"))e=e.slice(0,-1);else{const t=e.startsWith("aer")?2:0;e=e.slice(0,t)+e.slice(t).split("ae").join("e")}for(const[t,n,s]of o){
if(!e.endsWith(t)||e.length-t.length<s)continue;const o=e.slice(0,-t.length);if(t.startsWith("is")&&!/(?:.[lnmgh]|[^p]r|[aei]t|[ri]d)$/.test(o))break;return o+n
}return e}const r=/[\p{Alphabetic}\p{N}]+/gu,a=new Map(t("-:- −:- –:- /:/ ⁄:/ .:."));function i(e){
return e.replace(/[œŒæÆøØłŁßẞ]/g,e=>n.get(e)).normalize("NFKD").replace(/\p{M}/gu,"").toLowerCase().replace(/\p{M}/gu,"").replace(/ς/g,"σ")}
const c=new Map(t("skis:ski skies:sky idly:idl gently:gentl ugly:ugli early:earli only:onli singly:singl sky:sky news:news howe:howe atlas:atlas cosmos:cosmos bias:bias andes:andes")),u=t("ational:ate fulness:ful iveness:ive ization:ize ousness:ous biliti:ble lessli:less tional:tion alism:al aliti:al ation:ate entli:ent fulli:ful iviti:ive ogist:og ousli:ous abli:able alli:al anci:ance ator:ate enci:ence izer:ize bli:ble ogi li"),h=t("ational:ate tional:tion alize:al ative icate:ic iciti:ic ical:ic ness: ful:"),d=t("ement ance ence able ible ment ant ent ion ate ive ize iti ism ous al er ic"),f=e=>/[^aeiouy][aeiouy][^aeiouywxY]$|^[aeiouy][^aeiouy]$|past$/.test(e),p=/^[^aeiouy]*[aeiouy]+[^aeiouy]/
;function m(e,t){const n=t.find(([t])=>e.endsWith(t));return n&&{end:n[0],by:n[1],stem:e.slice(0,-n[0].length)}}function g(e){if(c.has(e))return c.get(e)
;if(e.length<3)return e;e=e.replace(/^'/,"").replace(/^y/,"Y").replace(/([aeiouy])y/g,"$1Y")
;const t=/^(?:arsen|commun|emerg|gener|inter|later|organ|past|univers)/.exec(e)||p.exec(e),n=t?t[0].length:e.length,s=t&&p.exec(e.slice(n)),o=s?n+s[0].length:e.length
;e=function(e,t){let n
;if((e=e.replace(/'s'$|'s$|'$/,"")).endsWith("sses")?e=e.slice(0,-2):/ie[ds]$/.test(e)?e=e.slice(0,-3)+(e.length>4?"i":"ie"):/[^us]s$/.test(e)&&/[aeiouy]/.test(e.slice(0,-2))&&(e=e.slice(0,-1)),
n=/eed(?:ly)?$/.exec(e)){const s=e.slice(0,n.index);s.length>=t&&!/^(?:succ|proc|exc)$/.test(s)&&(e=s+"ee")}else if(n=/(?:ed|ing|edly|ingly)$/.exec(e)){
const s=e.slice(0,n.index)
;"ing"===n[0]&&/^[^aeiouy]y$/.test(s)?e=s[0]+"ie":"ing"===n[0]&&/^(?:even|cann|inn|earr|herr|out)$/.test(s)||!/[aeiouy]/.test(s)||(/(?:at|bl|iz)$/.test(e=s)?e+="e":/(?:bb|dd|ff|gg|mm|nn|pp|rr|tt)$/.test(e)?e=/^[aeo]..$/.test(e)?e:e.slice(0,-1):e.length===t&&f(e)&&(e+="e"))
}return/.[^aeiouy][yY]$/.test(e)?e.slice(0,-1)+"i":e}(e,n);let l=m(e,u)
;l&&l.stem.length>=n&&(e="ogi"===l.end?l.stem.endsWith("l")?l.stem+"og":e:"li"===l.end?/[cdeghkmnrt]$/.test(l.stem)?l.stem:e:l.stem+l.by),l=m(e,h),
l&&l.stem.length>=n&&(e="ative"===l.end?l.stem.length>=o?l.stem:e:l.stem+l.by),l=m(e,d),l&&l.stem.length>=o&&("ion"!==l.end||/[st]$/.test(l.stem))&&(e=l.stem)
;const r=e.slice(0,-1);return(e.endsWith("e")&&(r.length>=o||r.length>=n&&!f(r))||e.endsWith("ll")&&r.length>=o)&&(e=r),e.replace(/Y/g,"y")}let w=new Map
;return{american:l,plain:i,stem:g,term:function(t){if(e.has(t)||[...t].length>40)return null;const n=l(t);return w.get(n)||g(n)},tokens:function(e){
const t=[],n=i(e);let s=-1;for(const{0:e,index:o}of n.matchAll(r)){const l=o===s+1?a.get(n[s]):void 0
;l&&/[0-9]$/.test(t[t.length-1])&&/^[0-9]/.test(e)?t[t.length-1]+=l+e:t.push(e),s=o+e.length}return t},letter:/[\p{Alphabetic}\p{N}]/u,learn(e){w=new Map
;for(let t=0;t+1<e.length;t+=2)w.set(e[t],e[t+1])}}}(),casewright.engine=function(e){"use strict";const t=casewright.words,n=new Uint8Array(128);function s(e){
const t=new Uint8Array(e.length);for(let n=0;n<t.length;n+=1)t[n]=e.charCodeAt(n);return t}
[..."ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/"].forEach((e,t)=>{n[e.charCodeAt(0)]=t});const o=e=>s(atob(e));function l(e,t){
const n=Math.min(e.length,t.length);for(let s=0;s<n;s+=1){let n=e.charCodeAt(s),o=t.charCodeAt(s);if(n!==o)return n>=55296&&o>=55296&&(n=n>=57344?n-2048:n+8192,
o=o>=57344?o-2048:o+8192),n-o}return e.length-t.length}function r(e,t){let n=0,s=e.length;for(;n<s;){const o=n+s>>1;l(e[o],t)<0?n=o+1:s=o}return n}
function a(e,t){const n=r(e,t);return e[n]===t?n:Math.max(0,n-1)}const i=new Map;function c(t,n){let s=i.get(t);return s?i.delete(t):(s=e(t).then(n),
s.catch(()=>i.delete(t)),i.size>=400&&i.delete(i.keys().next().value)),i.set(t,s),s}const u=new TextDecoder;function h(e,t){const n=atob(e),o=s(n);let l=0,r=""
;const a={byte:()=>o[l++],number(){let e,t=0,n=0;do{e=o[l++],t|=(127&e)<<n,n+=7}while(e>127);return t},skip:e=>(l+=e,l-e)};for(;l<o.length;){
const e=o[l++],s=e>>4;let i=15&e;15===i&&(i+=a.number()),r=r.slice(0,s)+n.slice(l,l+i),l+=i,
t(/[^\x00-\x7f]/.test(r)?u.decode(Uint8Array.from(r,e=>e.charCodeAt(0))):r,a)}return o}const d=e=>c("d/"+e,t=>{const n={bytes:null,terms:[],documents:[],
keys:[],places:[]};let s=0,o=0;return n.bytes=h(t,(t,l)=>{n.terms.push(t),n.documents.push(l.number());const r=l.number(),a=r>>1;if(1&r)return n.keys.push(""),
void n.places.push(l.skip(a));o>0&&o+a>U.block&&(s+=1,o=0),n.keys.push("p/"+e+"-"+s),n.places.push(o),o+=a}),n}),f=e=>c("l/"+e,e=>{const t=[]
;return h(e,(e,n)=>t.push({word:e,often:n.byte()})),t}),p=e=>c("c/"+e,e=>new Map(e.split("\n").map(e=>{const[t,...n]=e.split("\t"),s=[]
;for(let e=0;e<n.length;e+=2)s.push({number:Number(n[e]),label:n[e+1]});return[t,s]}))),m=e=>c("f/"+e,e=>{const t=o(e),n=[];for(let e=0;e<t.length;){
let s,o=0,l=0;do{s=t[e++],o|=(127&s)<<l,l+=7}while(s>127);n.push(o?t.subarray(e,e+o):null),e+=o}return n});function g(e){const t=[]
;for(let s=0,o=0,l=0;s<e.length;s+=1){const r=n[e.charCodeAt(s)];o|=(31&r)<<l,l+=5,r<32&&(t.push(o),o=l=0)}return t}const w=e=>{return(t=Math.floor(e/U.cards),
c("m/"+t,e=>e.split("\n").map(e=>{const[t,n,s,o,l,r]=e.split("\t");let a=0;const i={name:t.replace("?",""),asks:t.endsWith("?"),title:n,askTitle:s,
lessons:o?o.split("¶"):[],near:[]};i.stated=g(l).map(e=>a+=e),a=0;const c=g(r);for(let e=0;e<c.length;e+=2)i.near.push([a+=c[e],c[e+1]]);return i
}))).then(t=>t[e%U.cards]);var t};let y=null;function b(e,t,n){let s=t,o=0,l=0;const r=t=>{for(;l<24;l+=8)o|=e[s++]<<l;const n=o&(1<<t)-1;return o>>>=t,l-=t,n
},a=()=>{let e=0;for(;r(1);)e+=1;return(1<<e|r(e))-1};let i=32;for(let t=a()+1;t>0;t-=1){i-=a()+1;const t=a()+1,c=r(4),u=(1<<c)-1;let h=s,d=o,f=l,p=0
;for(let n=0;n<t;n+=1){for(;;){for(;f<24;f+=8)d|=e[h++]<<f;const t=~d,n=31-Math.clz32(t&-t);if(p+=(n<f?n:f)<<c,n<f){d>>>=n+1,f-=n+1;break}d=f=0}
for(;f<24;f+=8)d|=e[h++]<<f;p+=d&u,d>>>=c,f-=c,y[n]=p,p+=1}s=h,o=d,l=f,n(i,t)}}async function v(e){const t=await d(a(U.firsts,e)),n=r(t.terms,e)
;return t.terms[n]===e?{dict:t,at:n}:null}function k(e,t,n){let s=0,o=0;for(;s<e.length&&e[s]===t[s];)s+=1
;for(;o<Math.min(e.length,t.length)-s&&e[e.length-1-o]===t[t.length-1-o];)o+=1;e=e.slice(s,e.length-o),t=t.slice(s,t.length-o)
;const l=Math.max(e.length,t.length);if(!e||!t||1===l)return l;if(1===n)return 2===l&&e[0]===t[1]&&e[1]===t[0]?1:2;let r=[],a=[]
;for(let e=0;e<=t.length;e+=1)a.push(e);for(let s=1,o=0;s<=e.length;s+=1){const l=[s];let i=s;for(let n=1;n<=t.length;n+=1){
let o=Math.min(a[n-1]+(e[s-1]===t[n-1]?0:1),a[n]+1,l[n-1]+1);s>1&&n>1&&e[s-1]===t[n-2]&&e[s-2]===t[n-1]&&(o=Math.min(o,r[n-2]+1)),l.push(o),o<i&&(i=o)}
if(i>n&&o>n)return n+1;o=i,r=a,a=l}return a[t.length]}function A(e,t){let n=0;for(let s=0;s<e.length;s+=1)e[s]!==t[s]&&(n+=1)
;if(e.length===t.length)return 2===n?37:0;const s=e.length<t.length?t:e;let o=0;for(;o<e.length&&e[o]===t[o];)o+=1;return(s===t?37:0)+(o>0&&s[o-1]===s[o]?8:0)}
async function x(e,n,s){if(e.length<4||!/^[a-z]+$/.test(e))return[];n=Math.min(n,e.length<8?1:2)
;const o=[...new Set([e,t.american(e)])],r=async e=>function(e,t,n){let s=[];for(const o of e){let e=-1;for(const l of t){
if(Math.abs(o.word.length-l.length)>n)continue;const t=k(l,o.word,n);t>n||(t<n&&(s=s.filter(e=>e.far<=t),e=-1),n=t,e=Math.max(e,o.often+(1===t?A(l,o.word):0)))}
e>=0&&s.push({far:n,likely:e,spelling:o})}return s.sort((e,t)=>t.likely-e.likely||l(e.spelling.word,t.spelling.word)),s.slice(0,3)
}([].concat(...await Promise.all(e.map(f))),o,n);let a=await r([...U.letters].filter(t=>e.slice(0,2).includes(t)))
;!s&&a.every(({far:e})=>e>1)&&(a=await r([...U.letters]));const i=a.map(async({far:e,spelling:n})=>{const s=t.term(n.word);return{term:s,weight:1===e?4:2,
mended:n.word,place:await v(s)}});return Promise.all(i)}async function S(e,t){const n=a(U.firsts,e),s=a(U.firsts,e+"􏿿"),o=[];for(let e=n;e<=s;e+=1)o.push(d(e))
;const l=[];for(const n of await Promise.all(o))for(let s=r(n.terms,e);s<n.terms.length&&n.terms[s].startsWith(e);s+=1){const e=n.documents[s],o=8===l.length
;if(n.terms[s]===t||o&&e<=l[7].often)continue;o&&l.pop();let r=l.length;for(;r>0&&l[r-1].often<e;)r-=1;l.splice(r,0,{term:n.terms[s],weight:6,begun:!0,often:e,
place:{dict:n,at:s}})}return l}function z(e){const t=8*U.sieve.length;return[0,1,2].every(n=>{let s=2166136261^n
;for(let t=0;t<e.length;t+=1)s=Math.imul(s^e.charCodeAt(t),16777619);const o=(s>>>0)%t;return U.sieve[o>>3]&1<<(7&o)})}async function M(e){const t=[],n=new Set
;for(const t of e)if(z(t))for(let e=a(U.calls,t),s=a(U.calls,t+"!");e<=s;e+=1)n.add(e);const s=await Promise.all([...n].map(p));for(let n=0;n<e.length;){
let o=null;for(let t=1;t<=Math.min(U.longest,e.length-n);t+=1){const l=e.slice(n,n+t).join(" "),r=s.find(e=>e.has(l));r&&(o={from:n,words:t,concepts:r.get(l)})}
o&&t.push(o),n+=o?o.words:1}for(const e of t)e.places=await Promise.all(e.concepts.map(e=>v("#"+e.number)));return t}async function E(e,n){const s=[]
;for(const o of n){const n=t.term(o);if(null===n)continue;const l=await v(n);e.units.push({word:o,alternatives:l?[{term:n,weight:8,place:l}]:[]}),s.push(n)}
if(!s.length)return;const o=[];for(let t=0;t+1<s.length;t+=1){const n='"'+s[t]+" "+s[t+1];U.pairs||await v(n)?o.push(n):(e.loose=!0,o.push(s[t],s[t+1]))}
e.phrases.push(o.length?o:s)}function $(e,t,n){for(let s=0;s<t;s+=1){const t=y[s];0===q[t]&&(L[e++]=t),n>q[t]&&(q[t]=n)}return e}function C(e,t,n,s,o){
for(let l=0;l<e;l+=1){const e=L[l];t[e]+=q[e],n[e]+=1,s[e]|=o,q[e]=0}}function _(e,t,n,s,o,l,r){for(let a=0;a<q.length;a+=1)q[a]>0&&(q[a]>e[a]&&(e[a]=q[a]),
t[a]=n,l[a]|=r,q[a]=0),s[a]+=e[a],o[a]+=t[a]}let q=null,L=null;function P(e,t,n){const s=[];let o=0,l=-1;for(let r=0;r<t.length;r+=1){const a=e[r],i=t[r]
;if(0===a||a<o||a===o&&i<=l)continue;let c=s.length;for(;c>0&&(s[c-1].stands<a||s[c-1].stands===a&&s[c-1].score<i);)c-=1;s.splice(c,0,{document:r,score:i,
stands:a,whole:2===a}),s.length>n&&s.pop(),s.length===n&&([o,l]=[s[n-1].stands,s[n-1].score])}return s}let U=null;return{start:()=>e("about").then(e=>{
const n="string"==typeof e?JSON.parse(e):e,s=e=>e?e.split("\n"):[];return U={...n,firsts:s(n.firsts),calls:s(n.calls),sieve:o(n.sieve)},
U.groups=n.groups.map(([e,t,n,s,o])=>({name:e,label:t,telling:1===n,first:s,size:o})),t.learn(n.forms.split(" ")),
[y,q,L]=[0,0,0].map(()=>new Uint32Array(U.documents)),U}),answer:async function({typed:e,plain:n=!1,choice:s=[],most:l=10}){const r=await async function(e,n){
const{outside:s,inside:o}=function(e){const t=e.split(/["“”„]/),n=e=>e%2==1&&e+1<t.length;return{outside:t.filter((e,t)=>!n(t)),inside:t.filter((e,t)=>n(t))}
}(e),l=[...s[s.length-1]].pop(),r=void 0!==l&&t.letter.test(l),a=[].concat(...s.map(t.tokens)).slice(0,120),i={units:[],named:[],phrases:[],loose:!1
},c=a.map((e,n)=>({word:e,term:t.term(e),open:r&&n+1===a.length})).filter(e=>null!==e.term),[u,h]=await Promise.all([Promise.all(c.map(e=>async function(e,n,s){
const o=t.american(e),l=[...o].length,r=s&&l>=3,[a,i]=await Promise.all([v(n),r?S(o,n):[]]);let c=a?[{term:n,weight:8,place:a}]:[];if(c.push(...i),
r&&!c.length&&l>4&&(c=await x(e,1,!0)),r&&!c.length&&/^[\x00-\x7f]*$/.test(o))for(let e=l-1;e>=Math.max(4,l-6)&&!c.length;e-=1){
const t=o.slice(0,e),n=await v(t);n&&c.push({term:t,weight:6,begun:!0,place:n})}return c.length?c:x(e,2,!1)}(e.word,e.term,e.open))),n?[]:M(c.map(e=>e.term))])
;i.units=c.map(({word:e},t)=>({word:e,alternatives:u[t]})),i.named=h
;for(const e of h)for(const t of i.units.slice(e.from,e.from+e.words))t.alternatives=t.alternatives.filter(e=>!e.mended)
;for(const e of o.slice(0,4))await E(i,t.tokens(e).slice(0,24));return i}(e,n),a=await Promise.all([].concat(...r.phrases).map(v)),i=await async function(e){
const t=new Set(e.filter(Boolean).map(({dict:e,at:t})=>e.keys[t]).filter(Boolean)),n=new Map(await Promise.all([...t].map(async e=>[e,await c(e,o)])))
;return({dict:e,at:t},s)=>b(n.get(e.keys[t])||e.bytes,e.places[t],s)
}([...a,...[].concat(...r.units.map(e=>e.alternatives.map(({place:e})=>e)),...r.named.map(e=>e.places))]),u=await Promise.all(s.map(async e=>{
const t=U.groups.findIndex(t=>e>=t.first&&e<t.first+t.size);return(await m(t))[e-U.groups[t].first]})),h=U.documents,d=new Uint8Array(h).fill(1),f=e=>{
const t=new Uint8Array(h);e((e,n)=>{for(let e=0;e<n;e+=1)t[y[e]]=1});for(let e=0;e<h;e+=1)d[e]&=t[e]};for(const e of u)f(t=>e&&b(e,0,t))
;for(const e of a)f(t=>e&&i(e,t));const{score:p,matched:g,wanted:k,held:A}=function(e,t){
const n=U.documents,s=new Uint32Array(n),o=new Uint8Array(n),l=new Uint32Array(n),r=e=>e<32?1<<e:0;let a=0;const i=e=>{let n=0
;for(const{place:s,weight:o}of e)s&&t(s,(e,t)=>{n=$(n,t,o*e)});return n};for(let t=0;t<e.units.length;){
const c=e.named.find(({from:e})=>e===t),u=c?c.words:1,h=e.units.slice(t,t+u);a+=c?u:h.filter(e=>e.alternatives.length).length
;const d=c?new Uint32Array(n):s,f=c?new Uint8Array(n):o;let p=0;for(const{alternatives:e}of h)C(i(e),d,f,l,r(t)),p|=r(t),t+=1;c&&(i(c.places.map(e=>({place:e,
weight:7*u}))),_(d,f,u,s,o,l,p))}return{score:s,matched:o,wanted:a,held:l}}(r,i),z=r.units.length>0;let q=0,L=0;for(let e=0;e<h;e+=1)z&&0===g[e]&&(d[e]=0),
0!==d[e]&&(q+=1,(!z||0!==k&&g[e]===k)&&(L+=1,d[e]=2));if(U.near&&z){const e=P(d,p,10),t=e.map(e=>e.score),n=await Promise.all(e.map(e=>w(e.document)))
;for(let e=0;e<h;e+=1)p[e]*=75;n.forEach(({near:e},n)=>e.forEach(([e,s])=>{p[e]+=s*t[n]}))}return{query:r,
lacks:e=>r.units.filter((t,n)=>n<32&&t.alternatives.length&&!(A[e]>>n&1)).map(({word:e})=>e),hits:P(d,p,l),whole:L,all:q,counted:e=>d[e]>=(0===L?1:2)}},
counts:async function(e,t){return(await m(t)).map(t=>{let n=0;return t&&b(t,0,(t,s)=>{for(let t=0;t<s;t+=1)e.counted(y[t])&&(n+=1)}),n})},
values:()=>c("v",e=>(e?e.split("\n"):[]).map(e=>{const[t,n,s]=e.split("\t");return{name:t,label:n,count:Number(s)}})),card:w,marks:function(e){
const n=new Set([].concat(...e.units.map(e=>e.alternatives.map(({term:e})=>e))))
;for(const s of e.named)for(const{label:e}of s.concepts)for(const s of t.tokens(e))n.add(t.term(s));return n.delete(null),n}}},function(){"use strict"
;if("undefined"==typeof document)return;const e=casewright.words,t=e=>document.getElementById(e),n=t("_ask");if(!n)return
;const s=n.elements.q,o=n.elements.hide,l=t("_results"),r=10,a=new Map;window.casewright_part=(e,t)=>{const n=a.get(e);n&&n.resolve(t)};let i=null,c=null,u=0
;window.casewright_search=e=>{const n=casewright.engine((e=>t=>new Promise((n,s)=>{const o=document.createElement("script");a.set(t,{resolve:n})
;const l=()=>s(new Error(t));o.onload=()=>{l(),a.delete(t),o.remove()},o.onerror=()=>{l(),a.delete(t),o.remove()},o.src=e+t+".js",document.head.append(o)}))(e))
;n.start().then(e=>{i=n,c=e,t("_filters").replaceChildren(...c.groups.map(e=>{const t=p("details",{id:"_filter_"+e.name},p("summary",null,e.label),p("ul",{
class:"plain"}));return t.addEventListener("toggle",()=>{t.open!==S.has(e.name)&&(t.open?(S.add(e.name),t.querySelector("li")||x()):S.delete(e.name))}),t})),f()
},w)};let h={typed:"",hidden:!1,plain:!1,most:r,chosen:[]};function d(e,t){h={...h,most:r,...e};const n=function(){const e=new URLSearchParams
;h.typed&&e.set("q",h.typed);for(const t of c.groups){const n=h.chosen.filter(e=>e.startsWith(t.name+"=")).map(e=>e.slice(t.name.length+1))
;n.length&&e.set(t.name,n.join(","))}h.hidden&&e.set("hide","lessons"),h.plain&&e.set("words","only"),h.most>r&&e.set("show",String(h.most))
;const t=e.toString().replace(/%2C/g,",");return t?"?"+t:location.pathname.split("/").pop()}()
;return t&&n!==(location.search||location.pathname.split("/").pop())?history.pushState(null,"",n):history.replaceState(null,"",n),x()}function f(){h=function(){
const e=new URLSearchParams(location.search),t=[];for(const n of c.groups)for(const s of(e.get(n.name)||"").split(",").filter(Boolean))t.push(n.name+"="+s)
;return{typed:e.get("q")||"",hidden:"lessons"===e.get("hide"),plain:"only"===e.get("words"),most:Math.min(500,Math.max(r,Number(e.get("show"))||r)),chosen:t}
}(),s.value=h.typed,o.checked=h.hidden,x()}function p(e,t,...n){const s=document.createElement(e);for(const e of Object.keys(t||{}))s.setAttribute(e,t[e])
;return s.append(...n),s}const m=e=>e+(1===e?" case":" cases");function g(e){t("_said").textContent!==e&&(t("_said").textContent=e)}function w(e){
l.setAttribute("data-state","broken"),
g("A part of the search index is missing ("+(e&&e.message)+"), so this search is not complete. Reload the page; if that does not help, tell whoever keeps these pages.")
}function y(t,n){const s=document.createDocumentFragment();let o=0
;for(const l of t.matchAll(/[\p{L}\p{M}\p{N}]+(?:[-./−–](?=\d)[\p{L}\p{M}\p{N}]+)*/gu))e.tokens(l[0]).some(t=>n.has(e.term(t)))&&(s.append(t.slice(o,l.index),p("mark",null,l[0])),
o=l.index+l[0].length);return s.append(t.slice(o)),s}
const b=(t,n)=>new Set(e.tokens(t).map(e.term).filter(e=>n.has(e))).size,v=e=>c.groups.find(t=>e>=t.first&&e<t.first+t.size),k=(e,t)=>v(e).name+"="+t[e].name,A=e=>e.charAt(0).toUpperCase()+e.slice(1)
;async function x(){const n=u+=1,o=""!==h.typed.trim()||h.chosen.length>0;if(l.hidden=!o,t("_terms").hidden=o,!o)return g(""),t("_notes").replaceChildren(),
void t("_found").replaceChildren();l.setAttribute("data-state","busy");try{const o=await i.values(),r=[];o.forEach((e,t)=>{h.chosen.includes(k(t,o))&&r.push(t)
});const a=await i.answer({typed:h.typed,plain:h.plain,choice:r,most:h.most}),f=await Promise.all(a.hits.map(e=>i.card(e.document)));if(n!==u)return
;const w=i.marks(a.query),M=f.map((t,n)=>function(t,n,s,o,l){const r=h.hidden&&t.askTitle?t.askTitle:t.title,a=p("li",null,p("h3",null,h.hidden?r:y(r,s)))
;if(h.hidden){const e=t.stated.filter(e=>"finding"===v(e).name).map(e=>n[e].label);e.length&&a.append(p("p",{class:"line"},A(e.join(", "))+"."))}else{
const l=function(t,n,s,o){const l=new Set([].concat(...o.named.map(e=>e.concepts.map(({label:e})=>e))));return t.stated.map(e=>({value:e,label:n[e].label
})).filter(({value:t,label:o})=>{if(l.has(o)||h.chosen.includes(k(t,n)))return!0;const r=e.tokens(o).map(e.term).filter(Boolean)
;return r.length>0&&2*r.filter(e=>s.has(e)).length>=r.length}).map(({label:e})=>e)}(t,n,s,o);l.length&&a.append(p("p",{class:"line"
},"Here because: ",y(l.join(", "),s),"."));const r=function(e,t){let n=null,s=-1;for(const o of e.lessons){const e=b(o,t);e>s&&([n,s]=[o,e])}return n}(t,s)
;r&&a.append(p("p",{class:"lesson"},y(r,s)))}l.length&&!h.hidden&&a.append(p("p",{class:"line"},"Without: "+l.join(", ")+"."));const i=p("p",{class:"ways"
}),c=()=>p("span",{class:"unseen"},": "+r);return t.asks&&i.append(p("a",{href:"cases/"+t.name+"-ask.html"},"Decide as you read",c())," "),i.append(p("a",{
href:"cases/"+t.name+".html"},"Read straight through",c())),a.append(i),a
}(t,o,w,a.query,a.hits[n].whole?[]:a.lacks(a.hits[n].document))),E=a.hits.findIndex(e=>!e.whole);E>0&&M[E].classList.add("fewer"),
t("_found").replaceChildren(...M),t("_more").hidden=a.all<=a.hits.length,function(e){
const n=[],{query:o}=e,l=[...new Set([].concat(...o.named.map(e=>e.concepts.map(({label:e})=>e))))],r=(e,t)=>{const n=p("button",{type:"button",class:"quiet"
},e);return n.addEventListener("click",()=>d({plain:t},!0).then(()=>s.focus())),n}
;h.plain?n.push(p("p",null,"Searched for the words alone. ",r("Search other names too",!1))):l.length&&n.push(p("p",null,"Also searched: every name of ",p("b",null,l.join(", ")),". ",r("Only these words",!0)))
;for(const{word:e,alternatives:t}of o.units){const s=t.filter(e=>e.mended).map(e=>e.mended)
;s.length?n.push(p("p",null,"No case has “"+e+"”. Searched for ",p("b",null,s.join(", ")),".")):t.length||o.named.some(t=>o.units.slice(t.from,t.from+t.words).some(t=>t.word===e))||n.push(p("p",null,"No case has “"+e+"” or anything near it."))
}o.loose&&n.push(p("p",null,"Some words of the phrase stand in too few cases to know whether they stand side by side; these cases have all of them.")),
t("_notes").replaceChildren(...n)}(a),g(function(e){if(0===e.all)return"No case fits."+(h.chosen.length?" Fewer filters or other words may help.":"")
;if(!e.query.units.length)return m(e.all)+" with all that is chosen.";if(0===e.whole)return"No case has all the words. "+m(e.all)+" with some of them."
;const t=e.all-e.whole;return m(e.whole)+" with all the words"+(t?", "+t+" more with some of them":"")+"."}(a)),l.setAttribute("data-state","done"),
await async function(e,n,s){const o=c.groups.map(async(s,o)=>{
const l=h.chosen.filter(e=>e.startsWith(s.name+"=")),r=S.has(s.name)||l.length>0,a=t("_filter_"+s.name);if(!r)return()=>a.querySelector("ul").replaceChildren()
;const c=h.hidden&&s.telling?null:await i.counts(e,o);return()=>function(e,t,n,s){
const o=document.activeElement&&e.contains(document.activeElement)?document.activeElement.value:null;let l=n.slice(t.first,t.first+t.size).map((e,n)=>({...e,
key:t.name+"="+e.name,count:s?s[n]:null,chosen:h.chosen.includes(t.name+"="+e.name)}))
;s&&(l=l.filter(e=>e.chosen||e.count>0).sort((e,t)=>t.chosen-e.chosen||t.count-e.count||(e.label<t.label?-1:1)))
;const r=z.has(t.name)?l:l.filter((e,t)=>e.chosen||t<12),a=r.map(e=>{const t=p("input",{type:"checkbox",value:e.key});t.checked=e.chosen,
t.addEventListener("change",()=>d({chosen:t.checked?[...h.chosen,e.key]:h.chosen.filter(t=>t!==e.key)},!0));const n=p("label",null,t," ",p("span",null,e.label))
;return null!==e.count&&n.append(" ",p("span",{class:"count"},p("span",{class:"unseen"},", "),String(e.count),p("span",{class:"unseen"
},1===e.count?" case":" cases"))),p("li",null,n)});if(a.length||a.push(p("li",{class:"line"},"None in these results.")),r.length<l.length){const n=p("button",{
type:"button",class:"quiet",value:"more"},"All "+l.length);n.addEventListener("click",()=>{z.add(t.name),x().then(()=>e.querySelectorAll("input")[12].focus())
}),a.push(p("li",null,n))}if(e.querySelector("ul").replaceChildren(...a),e.open=!0,null!==o){
const t=[...e.querySelectorAll("input, button")].find(e=>e.value===o);t&&t.focus()}}(a,s,n,c)}),l=await Promise.all(o);s===u&&l.forEach(e=>e())}(a,o,n)
}catch(e){n===u&&w(e)}}const S=new Set,z=new Set;let M=0;s.addEventListener("input",()=>{clearTimeout(M),M=setTimeout(()=>i&&d({typed:s.value},!1),60)}),
n.addEventListener("submit",e=>{i&&(e.preventDefault(),clearTimeout(M),d({typed:s.value},!0))}),o.addEventListener("change",()=>i&&d({hidden:o.checked},!0)),
t("_more").addEventListener("click",()=>{const e=h.most;d({most:e+r},!1).then(()=>{const n=t("_found").children[e];n&&n.querySelector("a").focus()})}),
window.addEventListener("popstate",()=>i&&f()),document.addEventListener("keydown",e=>{if("ArrowDown"!==e.key&&"ArrowUp"!==e.key)return
;const n=[s,...[...t("_found").children].map(e=>e.querySelector("a"))],o=n.indexOf(document.activeElement),l=n[o+("ArrowDown"===e.key?1:-1)]
;o<0||!l||(e.preventDefault(),l.focus())})}();
