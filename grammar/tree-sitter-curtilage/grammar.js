/**
 * Sites of Curtilage for tree-sitter.
 *
 * Items and statements are read from forms.json, which is made from the tables of the parser
 * itself; only the tokens, and how lines and blocks are put together, are written here.
 */

/// <reference types="tree-sitter-cli/dsl" />
// @ts-check

const forms = require('./forms.json');

const snake = (name) => name.toLowerCase().replace(/-/g, '_');
const phrase = (name) => `_${snake(name)}`;
const statement = (block) => `_${snake(block)}_statement`;
const block = (name) => `_${snake(name)}_block`;

// A comma continues its line over the next line break.
const comma = ($) => seq(',', repeat($._line_end));
const oneOrMore = ($, rule) => seq(rule, repeat(seq(comma($), rule)));
const oneOf = (list) => (list.length === 1 ? list[0] : choice(...list));

/** A rule for what a word in capitals stands for. */
function value($, name, named) {
  const notion = forms.notions[name];
  const role = (rule) => (named ? field(snake(name), rule) : rule);
  switch (notion.leaf) {
    case undefined:
      return $[phrase(name)];
    case 'name':
      return field('name', alias($._word, $.name));
    case 'reference':
      return role(alias($._word, $.reference));
    case 'path':
      return role($.path);
    case 'tolerant':
      return alias($._tolerant, $.quantity);
    default:
      return $[notion.leaf];
  }
}

/** The rule of a node of forms.json. */
function build($, node, chosen = false) {
  if (node.word !== undefined) return chosen ? alias(node.word, $.choice) : node.word;
  if (node.mark === ',') return comma($);
  if (node.mark !== undefined) return node.mark;
  if (node.text === 'title') return field('title', alias($._text, $.title));
  if (node.text !== undefined) return field(snake(node.text.replace(/\..*/, '')), alias($._text, $.string));
  if (node.value !== undefined) return value($, node.value, true);
  if (node.block !== undefined) return field('body', alias($[block(node.block)], $.block));
  if (node.row !== undefined) return seq(...node.row.map((part) => build($, part, chosen)));
  if (node.choice !== undefined) {
    // What cannot be told apart by its form is one thing here: an area or a zone.
    const leaves = new Set(node.choice.map((part) => forms.notions[part.value]?.leaf));
    const [leaf] = leaves;
    if (leaves.size === 1 && leaf === 'reference') return value($, 'THING', true);
    return oneOf(node.choice.map((part) => build($, part)));
  }
  if (node.choose !== undefined) return oneOf(node.choose.map((part) => build($, part, true)));
  if (node.perhaps !== undefined) return optional(build($, node.perhaps));
  if (node.repeated !== undefined) return repeat(build($, node.repeated));
  if (node.list !== undefined) return oneOrMore($, build($, node.list));
  if (node.range !== undefined) {
    const range = seq(choice($.number, $.quantity), 'to', $.quantity);
    return node.both ? range : choice($.quantity, range);
  }
  throw new Error(`a node of forms.json is not known: ${JSON.stringify(node)}`);
}

/** A line: its first word gets a field, so that it can be told from the same word elsewhere. */
function line($, node, role) {
  const [first, ...rest] = node.row ?? [node];
  if (first.word === undefined) return build($, node);
  return seq(field(role, first.word), ...rest.map((part) => build($, part)));
}

/** Items that can end without a block need the end of their line. */
function itemName(word) {
  return word === 'use' ? 'use_item' : word;
}

const phrases = Object.fromEntries(
  Object.entries(forms.notions)
    .filter(([, notion]) => notion.pattern !== undefined)
    .map(([name, notion]) => [phrase(name), ($) => build($, notion.pattern)]),
);
// A zone may be called `start`: the word is taken for itself only when `of` follows.
phrases._cause = ($) => {
  const words = ['loss', 'tamper', 'start', 'end'];
  const thing = (rule) => field('thing', alias(rule, $.reference));
  const bare = words.map((word) => thing(word));
  const told = words.map((word) => seq(alias(word, $.choice), 'of', thing($._word)));
  return choice(thing($._word), ...bare, ...told);
};

const items = Object.fromEntries(
  Object.entries(forms.items).map(([word, alternatives]) => [
    itemName(word),
    ($) => oneOf(alternatives.map((rule) => line($, rule.line, 'item'))),
  ]),
);

const blocks = {};
for (const [name, lines] of Object.entries(forms.blocks)) {
  blocks[statement(name)] = ($) => oneOf(lines.map((node) => line($, node, 'word')));
  blocks[block(name)] = ($) => {
    const one = alias($[statement(name)], $.statement);
    return seq(
      // An opening brace may stand on a line of its own.
      repeat($._line_end),
      '{',
      repeat(choice($._line_end, seq(one, $._line_end))),
      optional(one),
      '}',
    );
  };
}

module.exports = grammar({
  name: 'curtilage',

  word: ($) => $._word,
  extras: ($) => [/[ \t\u00a0]/, $.comment],
  // A line break after an item that can do without a block ends it, or its block follows.
  conflicts: ($) => ['supply', 'controller', 'camera'].map((name) => [$[name]]),

  rules: {
    source_file: ($) => {
      const item = oneOf(Object.keys(items).map((name) => $[name]));
      return seq(repeat(choice($._line_end, item)));
    },

    ...items,
    ...blocks,
    ...phrases,

    quantity: ($) => choice(seq($.number, $.unit), repeat1(seq($.number, alias($.time_unit, $.unit)))),
    _tolerant: ($) => seq($.number, $.unit, optional($.tolerance)),
    tolerance: ($) => seq(choice('+-', '+/-', '±'), $.number, alias('%', $.unit)),
    unit: () => choice(...forms.units),
    time_unit: () => choice(...forms.time_units),

    path: ($) =>
      seq(
        field('thing', alias($._word, $.reference)),
        optional(seq(token.immediate('.'), field('terminal', $.terminal))),
      ),
    terminal: () => token.immediate(/[\p{XID_Continue}²]+([-.\/^][\p{XID_Continue}²]+)*/),

    // A dot belongs to a word only between two digits.
    _word: () => /\p{XID_Start}([\p{XID_Continue}²°]|[-\/^][\p{XID_Continue}²]|[-\/^]?[0-9]+(\.[0-9]+)+)*/,
    number: () => /-?[0-9]+(\.[0-9]+)?([eE][+-]?[0-9]+)?/,
    date: () => /[0-9]{4}-[0-9]{2}-[0-9]{2}/,
    day_of_year: () => /[0-9]{2}-[0-9]{2}/,
    clock: () => /[0-9]{1,2}:[0-9]{2}(:[0-9]{2}(\.[0-9]{1,3})?)?/,
    _text: () => /"([^"\\\r\n]|\\["\\])*"/,
    comment: () => token(/#[^\r\n]*/),

    _line_end: () => /\r?\n/,
  },
});
