// node read.mjs FILE...: what readers of other projects find in .vcd, .csv and .parquet files, as one JSON array on standard output.
import { readFileSync } from 'node:fs';
import { parse } from 'csv-parse/sync';
import { parquetMetadata, parquetReadObjects, parquetSchema } from 'hyparquet';
// The package's own entry wants its native build; these two are the same reader compiled to WebAssembly.
import createParser from 'vcd-stream/out/vcd.js';
import changeReader from 'vcd-stream/lib/web-vcd-parser.js';

// The dump's reader tells there what it makes nothing of; standard output is for what was found.
console.log = console.error;

/** The values of a scalar by the reader's command numbers, the first being 14. Reals and vectors have other numbers. */
const FIRST_SCALAR = 14;
const SCALARS = '01xXzZ';

/** Times as they stand in the file, in its timescale; this reader has 32 bits for them, and no values of reals. */
async function valueChangeDump(bytes) {
    const reader = await changeReader(await createParser());
    const changes = {};
    reader.change.any((code, time, command) => {
        const value = SCALARS[command - FIRST_SCALAR];
        if (value !== undefined)
            (changes[code] ??= []).push({ at: Number(time), value });
    });
    reader.write(bytes);
    reader.end();
    const variables = [];
    const walk = (scope, path) => {
        for (const item of scope.body) {
            if (item.kind === 'var')
                variables.push({ scope: path, type: item.type, name: item.name, changes: changes[item.link] ?? [] });
            else
                walk(item, [...path, item.name]);
        }
    };
    walk(reader.info.wires, []);
    return { timescale: reader.info.timescale, last: Number(reader.getTime()), variables };
}

async function parquet(bytes) {
    const file = bytes.buffer.slice(bytes.byteOffset, bytes.byteOffset + bytes.byteLength);
    const columns = parquetSchema(parquetMetadata(file)).children.map(column => ({ name: column.element.name, type: column.element.type }));
    const rows = await parquetReadObjects({ file });
    return { columns, rows: rows.map(row => columns.map(column => row[column.name])) };
}

function read(file) {
    const bytes = readFileSync(file);
    return file.endsWith('.vcd') ? valueChangeDump(bytes) : file.endsWith('.csv') ? parse(bytes) : parquet(bytes);
}

const found = [];
for (const file of process.argv.slice(2))
    found.push(await read(file));
// Whole numbers of 64 bits come as BigInt, and are exact in JSON.
process.stdout.write(JSON.stringify(found, (_, value) => typeof value === 'bigint' ? Number(value) : value));
