/* What the script of a page does, and what it keeps to:
 *
 *   J1 a heading becomes a button: first rising, then falling, then the order the page was written in;
 *   J2 numbers sort by data-value (SI), dates by their ISO text, words as people count (J2 before J10); blanks come last both ways;
 *   J3 a column that carries data-filter gets a list of its words above the table, unless each stands in one row alone; how many
 *      rows are shown is said aloud;
 *   J4 a link to a row that is filtered away shows all rows again;
 *   J5 no text is ever read as HTML, no style is written, nothing is fetched or kept. */
#include "page/html_script.h"

#include <stddef.h>

static const char sorting[] =
    "(function(){'use strict';\n"
    "var order=new Intl.Collator('en',{numeric:true,sensitivity:'base'});\n"
    "function make(name,parent,text){var e=document.createElement(name);if(text)e.textContent=text;"
    "parent.appendChild(e);return e}\n"
    "function words(cell){var copy=cell.cloneNode(true);"
    "copy.querySelectorAll('.mark,.none').forEach(function(e){e.remove()});"
    "return copy.textContent.replace(/\\s+/g,' ').trim()}\n"
    "function key(cell,number){if(!number)return words(cell)||null;"
    "return cell.hasAttribute('data-value')?+cell.getAttribute('data-value'):null}\n"
    "function sort(table,at){var heads=table.heads,head=heads[at],number=head.classList.contains('number');\n"
    "var was=head.getAttribute('aria-sort'),now=was==='ascending'?'descending':was?null:'ascending';\n"
    "heads.forEach(function(h){h.removeAttribute('aria-sort')});if(now)head.setAttribute('aria-sort',now);\n"
    "var list=table.rows.map(function(row,i){return{row:row,at:i,key:key(row.cells[at],number)}});\n"
    "if(now)list.sort(function(a,b){var d=a.at-b.at;\n"
    "if(a.key===null||b.key===null)return a.key===b.key?d:a.key===null?1:-1;\n"
    "var way=number?a.key-b.key:order.compare(a.key,b.key);return(now==='ascending'?way:-way)||d});\n"
    "list.forEach(function(one){table.body.appendChild(one.row)})}\n";

static const char sifting[] =
    "function sift(table){var shown=0,any=false;\n"
    "table.rows.forEach(function(row){var keep=table.lists.every(function(l){any=any||l.box.value!=='';"
    "return l.box.value===''||words(row.cells[l.at])===l.words[+l.box.value]});row.hidden=!keep;shown+=keep});\n"
    "table.says.textContent=any?shown+' of '+table.rows.length+' rows':''}\n"
    "function offer(table,box,at,label){var found=[];\n"
    "table.rows.forEach(function(row){var w=words(row.cells[at]);if(found.indexOf(w)<0)found.push(w)});\n"
    "if(found.length<2||found.length>60||found.length===table.rows.length)return;\n"
    "found.sort(order.compare);var field=make('label',box,label+' '),list=make('select',field);\n"
    "make('option',list,'all').value='';found.forEach(function(w,i){make('option',list,w||'not recorded').value=i});\n"
    "table.lists.push({at:at,words:found,box:list});list.addEventListener('change',function(){sift(table)})}\n";

static const char starting[] =
    "function start(element){var body=element.tBodies[0],table={body:body,rows:Array.from(body.rows),lists:[],\n"
    "heads:Array.from(element.tHead.rows[0].cells)},box=document.createElement('div');box.className='sift';\n"
    "box.setAttribute('role','group');box.setAttribute('aria-label','Rows of: '+element.caption.textContent);\n"
    "table.heads.forEach(function(head,at){var label=head.textContent.trim();\n"
    "if(head.hasAttribute('data-filter')&&table.rows.length>3)offer(table,box,at,label);\n"
    "var button=document.createElement('button');button.type='button';button.className='sort';\n"
    "while(head.firstChild)button.appendChild(head.firstChild);head.appendChild(button);\n"
    "button.addEventListener('click',function(){sort(table,at)})});\n"
    "table.says=make('span',box);table.says.setAttribute('role','status');\n"
    "if(table.lists.length)element.parentNode.parentNode.insertBefore(box,element.parentNode);return table}\n"
    "var tables=Array.from(document.querySelectorAll('table.sorts')).map(start);\n"
    "function reveal(){var row=location.hash.length>1&&document.getElementById(location.hash.slice(1));\n"
    "if(row&&row.hidden)tables.forEach(function(t){if(t.rows.indexOf(row)>=0){"
    "t.lists.forEach(function(l){l.box.value=''});sift(t);row.scrollIntoView()}})}\n"
    "window.addEventListener('hashchange',reveal)})();\n";

const char *const ap_html_script[] = {sorting, sifting, starting, NULL};
