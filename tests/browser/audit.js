// Evaluated inside a page by check.mjs; leaves in window.auditSays what it finds wrong: short phrases separated by " ; ", "" for
// nothing.
(function () {
    var root = document.documentElement, bad = [], all = Array.prototype.slice.call(document.querySelectorAll('*'));
    function each(selector, test, says) {
        Array.prototype.forEach.call(document.querySelectorAll(selector), function (e) {
            if (!test(e)) { bad.push(says + ' <' + e.tagName.toLowerCase() + ' id=' + e.id + '>'); }
        });
    }
    if (root.scrollWidth > window.innerWidth) { bad.push('page scrolls sideways: ' + root.scrollWidth + ' > ' + window.innerWidth); }
    var policy = document.querySelector('meta[http-equiv="Content-Security-Policy"]'), ours = policy && /script-src 'sha256-/.test(policy.content) ? 1 : 0;
    if (document.scripts.length !== ours || document.querySelector('script[src]')) { bad.push('script elements: ' + document.scripts.length); }
    each('img,iframe,object,embed,link,base,form,input,audio,video', function () { return false; }, 'element not ours');
    all.forEach(function (e) {
        Array.prototype.forEach.call(e.attributes, function (a) {
            if (/^on/i.test(a.name)) { bad.push('event attribute ' + a.name); }
            if (/^\s*(javascript|data|vbscript|https?|file|\/\/)/i.test(a.value) && /^(href|src|xlink:href|action)$/i.test(a.name)) {
                bad.push('address ' + a.value);
            }
            if (/^aria-(labelledby|describedby)$/.test(a.name)) {
                a.value.split(/\s+/).forEach(function (id) { if (!document.getElementById(id)) { bad.push('no element for ' + a.name + '=' + id); } });
            }
        });
    });
    var ids = {};
    all.forEach(function (e) { if (e.id) { if (ids['#' + e.id]) { bad.push('id twice: ' + e.id); } ids['#' + e.id] = true; } });
    each('a[href^="#"]', function (e) { return ids[e.getAttribute('href')]; }, 'link to nowhere');
    each('table', function (e) { return e.caption && e.caption.textContent.trim() !== ''; }, 'table without caption');
    each('table th', function (e) { return /^(col|row|colgroup)$/.test(e.scope); }, 'heading cell without scope');
    each('svg', function (e) { return e.getAttribute('role') === 'img' && e.querySelector('title'); }, 'drawing without role and title');
    each('figure', function (e) { return e.querySelector('figcaption'); }, 'figure without caption');
    each('details', function (e) { return e.firstElementChild && e.firstElementChild.tagName === 'SUMMARY'; }, 'details without summary');
    each('a,summary', function (e) { return e.textContent.trim() !== ''; }, 'nothing to read in');
    ['header', 'main', 'footer', 'h1', 'title'].forEach(function (name) {
        if (document.querySelectorAll(name === 'title' ? 'head title' : name).length !== 1) { bad.push('not exactly one ' + name); }
    });
    if (root.lang === '') { bad.push('no language'); }
    if (!document.querySelector('a[href="#main"]') && !document.body.classList.contains('to-fill')) { bad.push('no skip link'); }
    if (!document.querySelector('meta[name=viewport]')) { bad.push('no viewport'); }
    var last = 0;
    each('h1,h2,h3,h4,h5,h6', function (e) {
        var level = +e.tagName.charAt(1), fine = level <= last + 1;
        last = level;
        return fine;
    }, 'heading skips a level');
    window.auditSays = bad.slice(0, 40).join(' ; ');
})();
