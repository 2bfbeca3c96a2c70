// Reads finished sheets with pdf.js and prints what stands in each as a line of JSON: the
// structure tree with its text and alternative texts, and what no tag holds.
// usage: node read.mjs < NAMES    a file in each line; one process reads many, since starting takes longer
import fs from 'fs';
import readline from 'readline';
import {createRequire} from 'module';

const require = createRequire(import.meta.url);
const print = console.log;
console.log = console.warn = () => {}; // it warns of drawing, which nobody asks of it here
const pdfjs = require('/usr/share/javascript/pdf/build/pdf.js'); // Debian's libjs-pdf

// Text by marked content; what stands in an artifact or in nothing is kept apart.
function textByMark(items) {
    const texts = {}, open = [], artifacts = [], bare = [];
    for (const item of items) {
        if (item.type === 'beginMarkedContentProps' || item.type === 'beginMarkedContent')
            open.push(item.id || (item.tag === 'Artifact' ? 'artifact' : null));
        else if (item.type === 'endMarkedContent')
            open.pop();
        else if (item.str !== undefined) {
            const id = [...open].reverse().find(x => x);
            const text = item.str + (item.hasEOL ? '\n' : '');
            if (id === 'artifact') artifacts.push(text);
            else if (id) texts[id] = (texts[id] || '') + text;
            else bare.push(text);
        }
    }
    return {texts, artifacts: artifacts.join(''), bare: bare.join('')};
}

function treeOf(node, texts) {
    if (node.type === 'content')
        return {text: texts[node.id] || '', mark: node.id};
    const made = {role: node.role, children: (node.children || []).map(child => treeOf(child, texts))};
    if (node.alt) made.alt = node.alt;
    if (node.lang) made.lang = node.lang;
    return made;
}

async function read(file) {
    const data = new Uint8Array(fs.readFileSync(file));
    const pdf = await pdfjs.getDocument({data, verbosity: 0}).promise;
    const pages = [];
    for (let number = 1; number <= pdf.numPages; number++) {
        const page = await pdf.getPage(number);
        const content = await page.getTextContent({includeMarkedContent: true});
        const {texts, artifacts, bare} = textByMark(content.items);
        const tree = await page.getStructTree();
        const links = (await page.getAnnotations()).filter(a => a.subtype === 'Link').map(a => a.unsafeUrl || a.url || '');
        pages.push({tree: tree ? treeOf(tree, texts) : null, artifacts, bare, links});
    }
    const {info, metadata} = await pdf.getMetadata();
    const outline = await pdf.getOutline();
    const words = entries => (entries || []).flatMap(e => [e.title, ...words(e.items)]);
    const all = {info, xmp: metadata ? metadata.getAll() : null, mark: await pdf.getMarkInfo(),
        viewer: await pdf.getViewerPreferences(), outline: words(outline), pages};
    await pdf.destroy();
    return all;
}

for await (const file of readline.createInterface({input: process.stdin}))
    print(JSON.stringify(await read(file)));
