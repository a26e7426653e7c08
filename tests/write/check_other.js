// DXF files of the sample sheets, read by a reader of another language (dxf-parser, from npm):
// node check_other.js SAMPLES. What it reads is held against the sheets: layers, closed or open,
// every vertex and bulge, circles.
'use strict';
const fs = require('fs');
const os = require('os');
const path = require('path');
const { execFileSync } = require('child_process');
const parser = require('dxf-parser');
const Parser = parser.default || parser;

const NAMES = ['shapes', 'random', 'tangent', 'apart', 'frame'];
const ORDER = ['Drawing', 'Gluing', 'Creasing', 'PartialCutting', 'Perforating', 'Cutting'];
const faults = [];

function check(truth, words) {
    if (!truth) faults.push(words);
}

function area(vertices) {
    let sum = 0;
    vertices.forEach((v, i) => {
        const w = vertices[(i + 1) % vertices.length];
        const b = v.bulge || 0, t = 4 * Math.atan(b);
        sum += (v.x * w.y - w.x * v.y) / 2;
        if (b !== 0) {
            const r = Math.hypot(w.x - v.x, w.y - v.y) * (1 + b * b) / (4 * Math.abs(b));
            sum += r * r * (t - Math.sin(t)) / 2;
        }
    });
    return sum;
}

function compare(file, sheet) {
    const dxf = new Parser().parseSync(fs.readFileSync(file, 'utf8'));
    const paths = ORDER.flatMap(name => sheet.paths.filter(p => p.operation === name));
    check(dxf.header.$INSUNITS === 4 || file.includes('.r12.'), file + ': no millimetres');
    check(dxf.entities.length === paths.length,
          `${file}: ${dxf.entities.length} entities for ${paths.length} paths`);
    paths.forEach((p, i) => {
        const e = dxf.entities[i];
        if (!e) return;
        const given = p.vertices.map(([x, y, bulge]) => ({ x, y, bulge }));
        check(e.layer === p.operation.toUpperCase(), `${file}: entity ${i} is on layer ${e.layer}`);
        if (e.type === 'CIRCLE') {
            const a = Math.abs(area(given));
            check(Math.abs(Math.PI * e.radius ** 2 - a) < 1e-4 * Math.max(1, e.radius),
                  `${file}: circle ${i} has another area`);
            return;
        }
        check(!p.open === !!e.shape, `${file}: entity ${i} is open, or is closed`);
        if (!p.open)
            check(Math.abs(area(e.vertices) - area(given)) < 1e-4 * Math.max(1, Math.sqrt(Math.abs(area(given)))),
                  `${file}: entity ${i} has the area ${area(e.vertices)}, not ${area(given)}`);
        // each vertex that was given is among those read: some arcs have been split
        for (const v of given)
            check(e.vertices.some(w => Math.hypot(w.x - v.x, w.y - v.y) < 1.5e-6),
                  `${file}: entity ${i} lacks the vertex ${v.x}, ${v.y}`);
    });
    return dxf.entities.length;
}

const folder = fs.mkdtempSync(path.join(os.tmpdir(), 'rabbet-'));
let count = 0;
try {
    execFileSync(process.argv[2], [folder]);
    for (const name of NAMES) {
        const sheet = JSON.parse(fs.readFileSync(path.join(folder, name + '.json'), 'utf8'));
        for (const version of ['r12', 'r2000'])
            count += compare(path.join(folder, `${name}.${version}.dxf`), sheet);
    }
} finally {
    fs.rmSync(folder, { recursive: true });
}
console.log(`${count} entities read`);
check(count > 100, 'too few entities to show anything');
console.log(faults.slice(0, 30).join('\n'));
process.exit(faults.length ? 1 : 0);
