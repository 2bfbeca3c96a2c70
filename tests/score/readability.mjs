// A second counter of reading grades: the text on standard input, the grades as JSON.
import path from 'path';
import {createRequire} from 'module';
const require = createRequire(path.resolve(process.argv[2], 'any.js'));
const counter = require('text-readability');
let text = '';
process.stdin.on('data', chunk => text += chunk).on('end', () => {
    const rs = counter.default || counter;
    console.log(JSON.stringify({kincaid: rs.fleschKincaidGrade(text), smog: rs.smogIndex(text)}));
});
