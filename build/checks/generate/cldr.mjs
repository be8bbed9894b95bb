// Writes i18n/cldr.json: the CLDR 48.2.0 data the formatters need, for the
// languages of i18n/languages.json and nothing more; and i18n/plurals.json: the
// plural categories of every language, for translations that are only begun.
//
//   cd build/checks && npm ci --ignore-scripts && npm run cldr
//
// With --print NAME it writes that file to standard output instead.
//
// CLDR data: Unicode License V3, copyright (c) Unicode, Inc.; the notice goes
// into the output so that it travels with the data.
import { readFileSync, writeFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import path from 'node:path';

const here = path.dirname(fileURLToPath(import.meta.url));
const i18n = path.join(here, '..', '..', '..', 'i18n');
const read = (...parts) => JSON.parse(readFileSync(path.join(here, '..', 'node_modules', ...parts), 'utf8'));
const supplemental = (name) => read('cldr-core', 'supplemental', `${name}.json`).supplemental;

// Currencies a practice may price in.
const currencies = `AED ARS AUD BDT BHD BOB BRL CAD CHF CLP CNY COP CRC CZK DKK DOP DZD EGP ETB
  EUR GBP GTQ HKD HNL HUF IDR ILS INR JOD JPY KES KRW KWD LYD MAD MXN MYR NGN NIO NOK NZD OMR PAB
  PEN PHP PLN PYG QAR RON SAR SEK SGD THB TND TRY TWD UAH USD UYU VND ZAR`.trim().split(/\s+/).sort();
// Minor units are those of ISO 4217, since fees are stored in them. CLDR says how
// many decimals are customary, which is fewer for some (COP, HUF, IDR); a stored
// amount is always shown in full.
const none = ['CLP', 'JPY', 'KRW', 'PYG', 'VND'];
const three = ['BHD', 'JOD', 'KWD', 'LYD', 'OMR', 'TND'];
const minorUnits = (c) => (none.includes(c) ? 0 : three.includes(c) ? 3 : 2);

const months = (table) => Array.from({ length: 12 }, (_, i) => table[String(i + 1)]);
const weekdays = (table) => ['sun', 'mon', 'tue', 'wed', 'thu', 'fri', 'sat'].map((d) => table[d]);
const same = (a, b) => JSON.stringify(a) === JSON.stringify(b);
const plurals = supplemental('plurals')['plurals-type-cardinal'];
const numbering = supplemental('numberingSystems').numberingSystems;
const order = ['zero', 'one', 'two', 'few', 'many', 'other'];

// Ranges that do not take the form of their end, which is the default where CLDR names
// no pair (Unicode TR 35, from memory): "one few" to its form.
const rangeRules = supplemental('pluralRanges').plurals;
function ranges(tag) {
  const rules = Object.entries(rangeRules[tag] ?? {}).map(([key, form]) => [...key.match(/^pluralRange-start-(\w+)-end-(\w+)$/).slice(1), form]);
  return Object.fromEntries(rules.filter(([, end, form]) => form !== end).map(([start, end, form]) => [`${start} ${end}`, form]));
}

const categories = (rules) => order.filter((c) => rules[`pluralRule-count-${c}`] !== undefined);

// Plural rules are those of the language, whatever its script: zh for zh-Hans.
function pluralLanguage(tag) {
  for (let t = tag; t; t = t.slice(0, Math.max(t.lastIndexOf('-'), 0))) if (plurals[t]) return t;
  throw new Error(`CLDR has no plural rules for ${tag}`);
}

function language({ tag, digits }, languages) {
  const dates = read('cldr-dates-full', 'main', tag, 'ca-gregorian.json').main[tag].dates.calendars.gregorian;
  const numbers = read('cldr-numbers-full', 'main', tag, 'numbers.json').main[tag].numbers;
  const money = read('cldr-numbers-full', 'main', tag, 'currencies.json').main[tag].numbers.currencies;
  const lists = read('cldr-misc-full', 'main', tag, 'listPatterns.json').main[tag].listPatterns;
  const symbols = numbers[`symbols-numberSystem-${digits}`];
  const list = (type) => {
    const { 2: two, start, middle, end } = lists[`listPattern-type-${type}`];
    return { two, start, middle, end };
  };
  const wide = months(dates.months.format.wide);
  const alone = months(dates.months['stand-alone'].wide);
  const available = dates.dateTimeFormats.availableFormats;
  const names = read('cldr-localenames-full', 'main', tag, 'languages.json').main[tag].localeDisplayNames.languages;
  const rules = pluralLanguage(tag);
  const periods = dates.dayPeriods.format.abbreviated;
  return {
    plurals: categories(plurals[rules]),
    plural_ranges: ranges(rules),
    languages: Object.fromEntries(languages.map((l) => [l.tag, names[l.tag]])),
    digits: numbering[digits]._digits,
    months: wide,
    ...(same(wide, alone) ? {} : { months_alone: alone }),
    weekdays: weekdays(dates.days.format.wide),
    date: dates.dateFormats.long,
    date_weekday: dates.dateFormats.full,
    month_year: available.yMMMM,
    time: dates.timeFormats.short.replaceAll(/[ \u202f]/g, '\u00a0'), // a time is not broken, and few fonts have the narrow space
    day_halves: [periods.am, periods.pm],
    decimal: symbols.decimal,
    group: symbols.group,
    minus: symbols.minusSign,
    min_grouping: Number(numbers.minimumGroupingDigits),
    number: numbers[`decimalFormats-numberSystem-${digits}`].standard,
    money: numbers[`currencyFormats-numberSystem-${digits}`].standard,
    money_alpha: numbers[`currencyFormats-numberSystem-${digits}`]['standard-alphaNextToNumber'],
    range: numbers[`miscPatterns-numberSystem-${digits}`].range,
    and: list('standard'),
    or: list('or'),
    symbols: Object.fromEntries(currencies.map((c) => [c, money[c]?.symbol ?? c])),
  };
}

const languages = JSON.parse(readFileSync(path.join(i18n, 'languages.json'), 'utf8'));
const out = {
  source: 'Unicode CLDR 48.2.0 (npm cldr-core, cldr-dates-full, cldr-localenames-full, cldr-misc-full, cldr-numbers-full)',
  license: 'Unicode License V3, SPDX Unicode-3.0; copyright (c) 2004-2026 Unicode, Inc.',
  generated_by: 'build/checks/generate/cldr.mjs; do not edit by hand',
  minor_units: Object.fromEntries(currencies.map((c) => [c, minorUnits(c)])),
  languages: Object.fromEntries(languages.map((l) => [l.tag, language(l, languages)])),
};
const text = {
  'cldr.json': JSON.stringify(out, null, 1) + '\n',
  'plurals.json': JSON.stringify({
    source: 'Unicode CLDR 48.2.0 (npm cldr-core)',
    license: out.license,
    generated_by: out.generated_by,
    plurals: Object.fromEntries(Object.keys(plurals).filter((t) => t !== 'und').sort().map((t) => [t, categories(plurals[t]).join(' ')])),
    ranges: Object.fromEntries(Object.keys(plurals).filter((t) => Object.keys(ranges(t)).length > 0).sort().map((t) => [t, ranges(t)])),
  }, null, 1) + '\n',
};
const print = process.argv.indexOf('--print');
if (print > 0) process.stdout.write(text[process.argv[print + 1]]);
else for (const [name, data] of Object.entries(text)) writeFileSync(path.join(i18n, name), data);
