#include "page/html_style.h"

#include <sys/types.h>

#include <sha256.h>

/* Colours stand in two lists, light and dark; tests/page computes the contrast of every pair from these lines. */
static const char ground[] =
    ":root{color-scheme:light dark;"
    "--paper:#fbfaf7;--ink:#1b2320;--quiet:#55605b;--line:#d3d7d0;--link:#0a5746;--panel:#f1f2ec;"
    "--alert:#8f1d16;--alert-back:#fbebe8;--caution:#614300;--caution-back:#fcf2d6;--stripe:#f4f4ef}\n"
    "@media screen and (prefers-color-scheme:dark){:root{"
    "--paper:#151a18;--ink:#e5eae6;--quiet:#a6b1ac;--line:#3a4440;--link:#83d3bd;--panel:#1e2522;"
    "--alert:#ffb4aa;--alert-back:#3b1b18;--caution:#f2d38b;--caution-back:#332a12;--stripe:#1a201e}}\n"
    "*,*::before,*::after{box-sizing:border-box}\n"
    "html{font:16px/1.55 system-ui,-apple-system,'Segoe UI','Liberation Sans','DejaVu Sans',sans-serif;"
    "-webkit-text-size-adjust:100%;text-size-adjust:100%;scroll-padding-top:1rem}\n"
    "body{margin:0;background:var(--paper);color:var(--ink);overflow-wrap:anywhere}\n"
    "header,main,footer{max-width:74rem;margin:0 auto;padding:0 1.5rem}\n"
    "a{color:var(--link);text-underline-offset:.15em}\n"
    ":focus-visible{outline:3px solid var(--link);outline-offset:2px}\n"
    ".skip{position:absolute;left:-100rem;top:0;background:var(--paper);padding:.5rem 1rem;z-index:2}\n"
    ".skip:focus{left:0}\n"
    "header{padding-top:2rem;padding-bottom:1rem}\n"
    "h1{font-size:1.9rem;line-height:1.15;margin:0;letter-spacing:-.01em}\n"
    ".subtitle{margin:.35rem 0 0;color:var(--quiet);font-size:1.05rem}\n"
    "h2{font-size:1.35rem;line-height:1.25;margin:0 0 .6rem}\n"
    "h3{font-size:1.08rem;line-height:1.3;margin:2rem 0 .4rem}\n"
    "section{margin:0 0 1rem;padding:1.6rem 0 .6rem;border-top:1px solid var(--line)}\n"
    "p{margin:.6rem 0;max-width:44rem}\n"
    ".answer{font-size:1.3rem;line-height:1.4;font-weight:600;margin:.2rem 0 1rem;max-width:48rem}\n"
    "ul,ol{margin:.6rem 0;padding-left:1.4rem;max-width:44rem}\n"
    "li{margin:.25rem 0}\n";

/* Look at these first */
static const char findings[] =
    ".alerts{list-style:none;padding:0;margin:.8rem 0 1.2rem;max-width:none}\n"
    ".alerts li{display:grid;grid-template-columns:15rem 5.5rem minmax(0,1fr);gap:.1rem .8rem;align-items:baseline;"
    "margin:0 0 .4rem;padding:.55rem .9rem;max-width:none;background:var(--alert-back);"
    "border-left:.35rem solid var(--alert)}\n"
    ".tag{color:var(--alert);font-weight:700}\n"
    ".alerts .says{grid-column:3;min-width:0}\n"
    ".pick{font-variant-numeric:tabular-nums;font-weight:600}\n"
    ".caution{background:var(--caution-back);border-left:.35rem solid var(--caution);padding:.6rem .9rem;margin:1rem "
    "0}\n"
    ".caution strong{color:var(--caution)}\n"
    /* key figures */
    ".tiles{display:grid;grid-template-columns:repeat(auto-fit,minmax(10.5rem,1fr));gap:.8rem;margin:1rem 0 1.2rem}\n"
    ".tiles div{background:var(--panel);padding:.8rem .85rem;display:flex;flex-direction:column;min-width:0}\n"
    ".tiles dt{font-size:.9rem;color:var(--quiet);line-height:1.35}\n"
    ".tiles dd{margin:0}\n"
    ".tiles .value{font-size:clamp(1.4rem,.7rem + "
    "1.15vw,1.75rem);font-weight:650;line-height:1.2;font-variant-numeric:tabular-nums;margin:.15rem "
    "0}\n"
    ".tiles .note{font-size:.9rem;line-height:1.4;color:var(--quiet)}\n"
    /* a briefing's messages: read from across a yard */
    ".message{border-left:.5rem solid var(--link);padding:.2rem 0 .2rem 1.2rem;margin:1.6rem 0 2.2rem}\n"
    ".message p{font-size:clamp(1.5rem,1.1rem + 1.8vw,2.2rem);line-height:1.25;font-weight:650;margin:0 0 .6rem;"
    "max-width:40rem}\n"
    ".message .evidence{font-size:clamp(1.05rem,1rem + .4vw,1.3rem);font-weight:400;line-height:1.45;margin:0}\n"
    ".more::after{content:' \\2192';content:' \\2192'/''}\n"
    ".contents{margin:1.2rem 0;padding:1rem 0;border-top:1px solid var(--line)}\n"
    ".contents h2{font-size:1rem;margin:0 0 .3rem}\n"
    ".contents ol{list-style:none;margin:0;padding:0;max-width:none;columns:17rem;column-gap:2rem}\n"
    ".contents li{margin:0;padding:.2rem 0;break-inside:avoid}\n";

/* Tables */
static const char tables[] =
    ".wide{overflow-x:auto;margin:.8rem 0 1.4rem;max-width:100%;position:relative}\n"
    "table{overflow-wrap:break-word;border-collapse:collapse;font-size:.92rem;line-height:1.4;font-variant-numeric:"
    "tabular-nums}\n"
    "caption{text-align:left;font-weight:600;padding:.3rem 0;max-width:44rem}\n"
    "th,td{padding:.32rem .6rem;text-align:left;vertical-align:top;border-bottom:1px solid var(--line)}\n"
    "thead th{border-bottom:2px solid "
    "var(--quiet);vertical-align:bottom;font-size:.88em;line-height:1.3;max-width:7.5rem}\n"
    "tbody th{font-weight:400}\n"
    "th.number,td.number{text-align:right}\n"
    "td.number,td.date,th.date{white-space:nowrap}\n"
    "thead .unit{font-weight:400;color:var(--quiet)}\n"
    "tbody tr:nth-child(even){background:var(--stripe)}\n"
    "td.text,th.text{max-width:26rem}\n"
    "tbody .word,tbody .short{white-space:nowrap}th.long{min-width:13rem}\n"
    "tr.marked>:first-child{box-shadow:inset .25rem 0 0 var(--alert)}\n"
    ".mark{display:block;color:var(--alert);font-weight:700;font-size:.94em}\n"
    ".none{color:var(--quiet)}\n"
    ".unsaid{position:absolute;width:1px;height:1px;overflow:hidden;clip-path:inset(50%);white-space:nowrap}\n"
    /* what the page's script adds */
    ".sort{font:inherit;color:inherit;background:none;border:0;padding:.1rem 0;margin:0;text-align:inherit;"
    "line-height:inherit;width:100%;min-height:1.6rem;cursor:pointer;letter-spacing:inherit;white-space:inherit}\n"
    /* the sign never stands on a line of its own */
    ".sort::after{content:'\\a0\\2195';content:'\\a0\\2195'/'';color:var(--quiet);font-weight:400}\n"
    "[aria-sort=ascending] .sort::after{content:'\\a0\\2191';content:'\\a0\\2191'/'';color:var(--ink);"
    "font-weight:700}\n"
    "[aria-sort=descending] .sort::after{content:'\\a0\\2193';content:'\\a0\\2193'/'';color:var(--ink);"
    "font-weight:700}\n"
    ".sort:hover{text-decoration:underline;text-underline-offset:.15em}\n"
    ".sift{display:flex;flex-wrap:wrap;gap:.4rem 1.2rem;align-items:center;font-size:.92rem;margin:1rem 0 0}\n"
    ".sift select{font:inherit;color:var(--ink);background:var(--panel);border:1px solid var(--quiet);"
    "padding:.25rem .4rem;min-height:1.9rem;max-width:16rem}\n"
    ".sift [role=status]{font-weight:600}\n";

/* Figures: drawn dark on white, so they keep a white plate at night */
static const char figures[] =
    "figure{margin:1.2rem 0 1.6rem}\n"
    ".plate{background:#fdfcf8;color:#1b2320;border:1px solid var(--line);overflow-x:auto;max-width:56rem}\n"
    ".plate svg{display:block;width:100%;min-width:34rem;height:auto}\n"
    /* the same drawing for a phone */
    ".plate .narrow{display:none;min-width:0}\n"
    ".plate p{padding:1rem}\n"
    "figcaption{margin-top:.5rem;max-width:44rem}\n"
    "figcaption strong{display:block}\n"
    "figcaption span{color:var(--quiet);font-size:.94rem}\n"
    ".missing{border:1px dashed var(--quiet);padding:.9rem;color:var(--quiet)}\n"
    "details{margin:1rem 0;border-left:.2rem solid var(--line);padding-left:.9rem}\n"
    "summary{cursor:pointer;color:var(--link);padding:.3rem 0;font-weight:600}\n"
    "footer{margin-top:2rem;padding-top:1rem;padding-bottom:2.5rem;border-top:1px solid var(--line);"
    "font-size:.9rem;color:var(--quiet)}\n"
    "footer dl{display:flex;flex-wrap:wrap;gap:.2rem 1.6rem;margin:0}\n"
    "footer div{display:flex;gap:.4rem;min-width:0}\n"
    "footer dd{margin:0;color:var(--ink);overflow-wrap:anywhere;min-width:0}\n";

/* A table of sentences has no columns: each row is its short cells on a line, its long ones below, side by side where there is
 * room. Its heads stand above as a line of words to sort by. */
static const char cards[] =
    ".cards,.cards thead,.cards tbody,.cards caption{display:block}.cards{max-width:66rem}"
    ".cards thead tr{display:flex;flex-wrap:wrap;gap:0 1.1rem;border-bottom:2px solid var(--quiet)}"
    ".cards thead th{border:0;padding:.2rem 0;max-width:none;min-width:0}"
    ".cards tbody tr{display:flex;flex-wrap:wrap;gap:.15rem 1.2rem;padding:.55rem .8rem;border-bottom:1px solid "
    "var(--line)}"
    ".cards tbody th,.cards tbody td{display:block;border:0;padding:0;text-align:left;min-width:0;max-width:none;"
    "position:static;white-space:normal;background:none}"
    ".cards .blank{display:none}.cards .mark{display:inline;margin-left:.4rem}"
    ".cards tbody [data-label]::before{content:attr(data-label) ' ';color:var(--quiet);font-size:.86em;font-weight:400}"
    ".cards tbody tr::before{content:'';flex:1 0 100%;order:1}.cards tbody .long{flex:1 1 100%;order:2}"
    ".cards tbody .long~.long{flex:1 1 26%}.cards tr.marked{box-shadow:inset .25rem 0 0 var(--alert)}"
    ".cards tr.marked>:first-child{box-shadow:none}.cards tbody .title{font-weight:650}\n"
    "@media screen{.cards tbody tr[hidden]{display:none}}\n"
    /* what was recorded, field by field: as many beside each other as there is room for */
    ".fields,.fields tbody{display:block}.fields "
    "thead{position:absolute;width:1px;height:1px;overflow:hidden;clip-path:inset(50%)}"
    ".fields tbody{display:grid;grid-template-columns:repeat(auto-fill,minmax(19rem,1fr));column-gap:1.6rem}"
    ".fields tr{display:grid;grid-template-columns:minmax(0,10.5rem) minmax(0,1fr);border-bottom:1px solid var(--line)}"
    ".fields tbody th,.fields tbody td{border:0;max-width:none;min-width:0;white-space:normal;position:static;"
    "background:none}.fields tbody th{color:var(--quiet)}.fields tbody tr{background:none}\n";

static const char phone[] =
    "@media screen and (max-width:40rem){.plate .broad{display:none}.plate .narrow{display:block}}\n"
    "@media (max-width:40rem){.cards tbody .long~.long{flex:1 1 100%}.fields tbody{grid-template-columns:1fr}"
    ".alerts li{display:block}.alerts .says{display:block}.short{white-space:normal}"
    "header,main,footer{padding-left:1rem;padding-right:1rem}"
    "h1{font-size:1.5rem}.answer{font-size:1.13rem}th,td{padding:.34rem .5rem}"
    ".tiles{grid-template-columns:repeat(auto-fill,minmax(9rem,1fr));gap:.6rem}.tiles div{padding:.7rem .8rem}"
    ".tiles .value{font-size:1.4rem}"
    "td.text{min-width:9rem}td.text,th.text{max-width:14rem}tbody "
    "th{position:sticky;left:0;background:var(--paper);max-width:9rem}"
    "tbody tr:nth-child(even) th{background:var(--stripe)}}\n"
    "@media (prefers-reduced-motion:no-preference){html{scroll-behavior:smooth}}\n";

static const char paper[] =
    "@page{margin:15mm 14mm 17mm;@bottom-right{content:counter(page) ' / ' counter(pages);font:9pt sans-serif}}\n"
    "@media print{html{font-size:9.5pt}body{background:#fff;color:#000}"
    "p,ul,ol,.answer,.caution,figcaption{max-width:none}p,ul,ol{margin:.35rem 0}.alerts{margin:.4rem 0 .6rem}"
    ".alerts li{padding:.3rem .6rem}.tiles div{padding:.4rem .6rem}h2{margin:.6rem 0 .3rem}h3{margin:.5rem 0 .2rem}"
    "header,main,footer{max-width:none;padding-left:0;padding-right:0}header{padding-top:0}"
    ".skip,.contents,[id=from-here]{display:none}"
    ".page-break{break-after:page}section{padding-top:.7rem}.page-break+section,.page-break+*+section{border-top:0}"
    "h2,h3,.answer,caption,figcaption strong,summary{break-after:avoid}h2,h3{break-inside:avoid}"
    "figure,.answer,.alerts li,.caution,.tiles div,.cards tr{break-inside:avoid}"
    /* a table of one glance stays whole, and with the figure it stands behind */
    ".few{break-inside:avoid}figure:has(+.few),.answer:has(+figure),p:has(+figure),.answer:has(+p+figure){break-after:"
    "avoid}p:has(+figure){break-inside:avoid}"
    "details{font-size:.88em;line-height:1.35;margin:.4rem 0}"
    "figure{margin:.5rem 0 .6rem}figcaption{margin-top:.25rem}.wide{margin:.4rem 0 .8rem}section{margin:0}"
    "footer{break-before:avoid;margin-top:1rem;padding-bottom:0}"
    /* the first page is one page, on Letter too */
    "main>section:first-of-type{line-height:1.42;padding-top:.5rem}main>section:first-of-type "
    ".answer{font-size:1.2rem}main>section:first-of-type .value{font-size:1.35rem}main>section:first-of-type "
    ".caution{margin:.5rem 0}header{padding-bottom:.4rem}"
    ".alerts li{grid-template-columns:15.5rem 4.5rem minmax(0,1fr);max-width:none}"
    "thead{display:table-header-group;break-inside:avoid}tr{break-inside:avoid}"
    /* three quarters of a sheet wide, its words beside it */
    "figure{display:grid;grid-template-columns:minmax(0,3.2fr) minmax(0,1fr);column-gap:.5cm}"
    "figure>.missing{grid-column:1/-1}figcaption{font-size:.9em;line-height:1.35;margin-top:0}"
    ".wide,.plate{overflow:visible}.plate svg{min-width:0;max-width:100%;max-height:9.4cm}table{font-size:.86rem}"
    "th,td{padding:.22rem "
    ".45rem}td.text{min-width:0}td.text,th.text{max-width:none}th.long{min-width:0}.cards{font-size:.86rem}"
    /* on paper a row of sentences runs on like a paragraph: its parts beside each other would each leave half a line blank */
    ".cards thead{display:none}.cards tbody tr{display:block;padding:.16rem .5rem;line-height:1.3}"
    ".cards tbody tr::before{display:none}.cards tbody th,.cards tbody td{display:inline;margin-right:.8rem}"
    ".cards tbody .short,.cards tbody .date,.cards tbody .word{white-space:nowrap}.cards tbody .blank{display:none}"
    ".many{font-size:.74rem}.many "
    "th,.many td{padding:.2rem "
    ".3rem}.tiles{grid-template-columns:repeat(auto-fit,minmax(9rem,1fr))}"
    "tbody tr:nth-child(even){background:none}tbody th{position:static}"
    ".message p{font-size:30pt;max-width:none}.message "
    ".evidence{font-size:17pt}.message{break-inside:avoid;border-color:currentColor}"
    ".carried table{font-size:12pt}.carried th,.carried td{padding:.3rem .9rem}.carried "
    "td:not(:first-child){font-weight:"
    "600}.carried .caution,.carried .answer{font-size:1.1rem}"
    ".sift{display:none}.sort{min-height:0;padding:0}[aria-sort] .sort::after,.sort::after{content:none}"
    "tbody tr[hidden]{display:table-row}.cards tbody tr[hidden]{display:block}"
    "a{color:inherit;text-decoration:none}"
    "details::details-content{content-visibility:visible;display:block;height:auto;block-size:auto}"
    "details>summary{list-style:none;color:inherit}details>summary::-webkit-details-marker{display:none}"
    ".alerts li,.caution,.tiles div{background:none;border:1px solid #000;border-left-width:.35rem}"
    "footer{margin-top:.6rem;padding:.3rem 0 0;break-inside:avoid}main{padding:0 1px}"
    "p,li{orphans:3;widows:3}}\n"
    "@media (forced-colors:active){.alerts li,.caution,.tiles div{border:1px solid}}\n";

/* A person's text with parts of ours (markup.h): two or three sheets of paper, not five */
static const char sheet[] =
    "@media print{.sheet{font-size:.88em;line-height:1.32}.sheet section{padding:.35rem 0 0;margin:0 0 .2rem}"
    ".sheet p,.sheet ul,.sheet ol{margin:.15rem 0}.sheet li{margin:.05rem 0}.sheet h2{margin:.1rem 0 "
    ".15rem;font-size:1.15em}"
    ".sheet blockquote{margin:.15rem 1rem}.sheet figure{margin:.2rem 0}"
    ".sheet .plate svg{max-height:7.2cm}"
    ".sheet p:has(+.wide),.sheet p:has(+figure){break-after:avoid}"
    ".sheet .wide{margin:.15rem 0}.sheet th,.sheet td{padding:.06rem .35rem}}\n";

const char *const ap_html_style[] = {ground, findings, tables, figures, cards, phone, paper, sheet, NULL};

void ap_html_hash(char out[AP_HTML_HASH_SIZE], const char *const *parts) {
    static const char digits[] = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    uint8_t hash[SHA256_DIGEST_LENGTH + 1];
    SHA256_CTX context;
    SHA256_Init(&context);
    for (; *parts; parts++) {
        SHA256_Update(&context, (const uint8_t *)*parts, strlen(*parts));
    }
    SHA256_Final(hash, &context);
    hash[SHA256_DIGEST_LENGTH] = 0; /* 32 bytes are 11 groups of three less one */
    size_t to = (size_t)snprintf(out, AP_HTML_HASH_SIZE, "sha256-");
    for (size_t i = 0; i < SHA256_DIGEST_LENGTH; i += 3) {
        uint32_t three = (uint32_t)hash[i] << 16 | (uint32_t)hash[i + 1] << 8;
        three |= i + 2 < SHA256_DIGEST_LENGTH ? hash[i + 2] : 0u;
        for (int shift = 18; shift >= 0; shift -= 6) {
            out[to++] = digits[three >> shift & 63];
        }
    }
    out[to - 1] = '=';
    out[to] = '\0';
}
