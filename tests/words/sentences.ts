import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import ts from 'typescript';

/** Something that a person may read, as it stands in a source: `{name}` for what is filled in, `(a|b)` for one of two. */
export interface Sentence {
  /** `host/steps`, `calibration/tumble`, `README.md`: where a reviser looks. */
  room: string;
  file: string;
  line: number;
  text: string;
  /** Said by a `Failure`: it stands beside the check that throws it. */
  isRefusal: boolean;
}

const root = fileURLToPath(new URL('../../', import.meta.url));
/** Sources whose words no person meets: tables of names, what is sent to programs, notes on data sheets. */
const unseen =
  /^host\/(?:build|bundle|sceneNamed)\.ts|makePlaces|csv\/(?:columnName|units)\.ts|web\/viewers\.ts|look\.ts|virtual\/(?:arm|chips)\/|chipMakes|intelHex|worldSamples|wire\/(?:encode|lines|particulars|sample)\.ts/;

/** Every sentence of the program and of its guides, in the order of rooms and files. */
export function allSentences(): Sentence[] {
  const sources = ['host', 'calibration', 'firmware-proto/wire', 'firmware-proto/virtual'].flatMap((folder) =>
    readdirSync(join(root, folder), { recursive: true, encoding: 'utf8' })
      .filter((file) => /\.(?:tsx?|mjs|html)$/.test(file))
      .map((file) => `${folder}/${file}`)
      .filter((file) => !unseen.test(file))
      .sort(),
  );
  const guides = [
    'README.md',
    'host/capture/COLUMNS.md',
    'firmware-proto/README.md',
    ...readdirSync(join(root, 'firmware-proto/guide'))
      .filter((file) => file.endsWith('.md'))
      .sort()
      .map((file) => `firmware-proto/guide/${file}`),
  ];
  return [...sources, ...guides].flatMap((file) => sentencesOf(file, readFileSync(join(root, file), 'utf8')));
}

export function sentencesOf(file: string, text: string): Sentence[] {
  const found = file.endsWith('.md') ? inMarkdown(text) : file.endsWith('.html') ? inHtml(text) : inSource(file, text);
  return found
    .flatMap(withoutMarkup)
    .filter(({ text: said }) => isWords(said))
    .map(({ line, text: said, isRefusal = false }) => ({ room: roomOf(file), file, line, text: said, isRefusal }));
}

/** The words of a page or a drawing that is written as one text. */
function withoutMarkup({ line, text, isRefusal }: Found): Found[] {
  if (!/<\/?[a-z][^<>]*>/.test(text) || /<[a-z]+>(?:$| )/.test(text)) return [{ line, text, isRefusal }];
  const shown = text.replace(/<style>[\s\S]*?<\/style>/g, '');
  const labels = [...shown.matchAll(/aria-label="([^"]*)"/g)].map(([, label]) => label!);
  const pieces = shown.split(/<[^<>]*>/).flatMap((piece) => piece.split('\n'));
  return [...labels, ...pieces].map((piece) => ({ line, text: piece.trim() })).filter((piece) => isWords(piece.text));
}

const isWords = (said: string): boolean => /[A-Za-z]{2}/.test(said.replace(/\{\w*\}/g, ''));

/** `host/web/sheet` of `host/web/sheet/words/tumble.ts`: words folders belong to their room. */
function roomOf(file: string): string {
  if (!file.includes('/') || file.startsWith('firmware-proto/')) return file.replace(/\/[^/]+$/, '');
  const folders = file.split('/').slice(0, -1);
  return folders.slice(0, folders[1] === 'web' ? 3 : 2).join('/');
}

type Found = Pick<Sentence, 'line' | 'text'> & Partial<Pick<Sentence, 'isRefusal'>>;

function inSource(file: string, text: string): Found[] {
  const source = ts.createSourceFile(file, text, ts.ScriptTarget.Latest, true);
  const found: Found[] = [];
  let isRefusal = false;
  const visit = (node: ts.Node): void => {
    if (isHidden(node)) return;
    if (ts.isNewExpression(node) && node.expression.getText() === 'Failure') {
      isRefusal = true;
      ts.forEachChild(node, visit);
      isRefusal = false;
      return;
    }
    if (isText(node)) {
      const said = plain(rendered(node));
      if (isSeen(said, node)) found.push({ line: lineOf(source, node), text: said, isRefusal });
      eachFilled(node, visit);
      return;
    }
    ts.forEachChild(node, visit);
  };
  visit(source);
  return found;
}

const lineOf = (source: ts.SourceFile, node: ts.Node): number =>
  source.getLineAndCharacterOfPosition(node.getStart(source)).line + 1;

const isString = (node: ts.Node): node is ts.StringLiteralLike => ts.isStringLiteralLike(node);

/** A whole text: a literal, a template, a sum of them, or an element of the page with words among its children. */
function isText(node: ts.Node): boolean {
  if (isString(node) || ts.isTemplateExpression(node)) return true;
  if (ts.isBinaryExpression(node)) return node.operatorToken.kind === ts.SyntaxKind.PlusToken && hasText(node);
  if (ts.isJsxText(node)) return node.text.trim() !== '' && !isMixed(node.parent);
  return isMixed(node);
}

const hasText = ({ left, right }: ts.BinaryExpression): boolean => [left, right].some((side) => isText(side));

/** Words and expressions side by side: `<p>Code {code} is good</p>` is one sentence. */
const isMixed = (node: ts.Node): boolean =>
  (ts.isJsxElement(node) || ts.isJsxFragment(node)) &&
  node.children.some((child) => ts.isJsxText(child) && child.text.trim() !== '') &&
  node.children.some((child) => ts.isJsxExpression(child));

/** Words for the program alone: names, keys, what is compared, what is thrown as a fault of the program. */
function isHidden(node: ts.Node): boolean {
  if (ts.isImportDeclaration(node) || ts.isExportDeclaration(node) || ts.isTypeNode(node)) return true;
  if (ts.isNewExpression(node))
    return /^(?:RangeError|TypeError|Error|URL|RegExp|Set|Map)$/.test(node.expression.getText());
  if (ts.isJsxAttribute(node))
    return !/^(?:aria-label|aria-description|title|alt|placeholder|label|text|name|legend|hint)$/.test(
      node.name.getText(),
    );
  if (ts.isTaggedTemplateExpression(node) || ts.isElementAccessExpression(node)) return true;
  if (ts.isCallExpression(node)) return isInnerCall(node);
  return false;
}

/** Calls that take names, not sentences. */
const isInnerCall = (node: ts.CallExpression): boolean =>
  node.expression.kind === ts.SyntaxKind.ImportKeyword ||
  /(?:^|\.)(?:querySelector|querySelectorAll|getElementById|addEventListener|setAttribute|startsWith|endsWith|includes|indexOf|matchMedia|enum|literal|createElement|header|type|getPropertyValue)$/.test(
    node.expression.getText(),
  );

const isCompared = (node: ts.Node): boolean =>
  (ts.isBinaryExpression(node.parent) && /^[!=]==?$|^in$/.test(node.parent.operatorToken.getText())) ||
  ts.isCaseClause(node.parent) ||
  (ts.isPropertyAssignment(node.parent) && node.parent.name === node);

const labels = /^(?:label|title|name|text|heading|figure|value|status|toDo|measured|howSure|next|hint|caption|words)$/;

/** A sentence has two words; one word alone counts where it stands as a label. */
function isSeen(said: string, node: ts.Node): boolean {
  if (isCompared(node)) return false;
  const words = said.replace(/\{[^}]*\}/g, ' ').match(/[A-Za-z]{2,}/g) ?? [];
  if (words.length === 0 || /^[\w-]+(?:\.[\w-]+)+$|^[a-z]+\/[a-z-]+|^[-\w]+: ?[\w-]+;/.test(said)) return false;
  if (/^# |^--\w[\w-]*(?: [<[]|$)|^\w[\w-]*="|\{[^}]*: [^}]*;[^}]*\}|^(?:[a-z]+ ){12}/.test(said)) return false;
  if (/^(?:[MLAZmlazhvHV0-9 .,-]|\{\w*\})+$/.test(said)) return false;
  if (/[A-Za-z]{2,}[^A-Za-z{}|]* [^A-Za-z{}|]*[A-Za-z]{2,}/.test(said)) return true;
  if (/[A-Za-z]{2,}[.:?!]$/.test(said) && said.length > 3) return true;
  if (/ /.test(said) && words.some((word) => word.length > 2)) return true;
  if (ts.isJsxText(node)) return true;
  const { parent } = node;
  return ts.isPropertyAssignment(parent) && labels.test(parent.name.getText()) && /^[A-Z]/.test(said);
}

const plain = (said: string): string =>
  said
    .replaceAll('\u2068', '')
    .replaceAll('\u2069', '')
    .replace(/[ \t]*\n[ \t]*/g, '\n')
    .trim();

/** What is filled into a text, which may hold texts of its own that were not rendered with it. */
function eachFilled(node: ts.Node, visit: (node: ts.Node) => void): void {
  if (isString(node) || ts.isJsxText(node)) return;
  if (ts.isTemplateExpression(node)) {
    for (const { expression } of node.templateSpans) if (!isRendered(expression)) visit(expression);
  } else if (ts.isBinaryExpression(node)) {
    for (const side of [node.left, node.right])
      if (isText(side)) eachFilled(side, visit);
      else if (!isRendered(side)) visit(side);
  } else if (ts.isJsxElement(node) || ts.isJsxFragment(node)) {
    if (ts.isJsxElement(node)) visit(node.openingElement);
    for (const child of node.children) {
      if (ts.isJsxExpression(child) && child.expression && !isRendered(child.expression)) visit(child.expression);
      else if (ts.isJsxElement(child) || ts.isJsxSelfClosingElement(child)) visit(child);
    }
  }
}

/** Rendered as a part of the text around it. */
function isRendered(node: ts.Node): boolean {
  if (ts.isParenthesizedExpression(node)) return isRendered(node.expression);
  if (ts.isConditionalExpression(node)) return [node.whenTrue, node.whenFalse].some((part) => isText(part));
  return isText(node);
}

function rendered(node: ts.Node): string {
  if (isString(node)) return node.text;
  if (ts.isJsxText(node)) return node.text.replace(/\s+/g, ' ');
  if (ts.isParenthesizedExpression(node)) return rendered(node.expression);
  if (ts.isTemplateExpression(node))
    return (
      node.head.text + node.templateSpans.map(({ expression, literal }) => rendered(expression) + literal.text).join('')
    );
  if (ts.isBinaryExpression(node) && isText(node)) return rendered(node.left) + rendered(node.right);
  if (ts.isConditionalExpression(node) && isRendered(node))
    return `(${rendered(node.whenTrue)}|${rendered(node.whenFalse)})`;
  if (ts.isJsxElement(node) || ts.isJsxFragment(node))
    return node.children
      .map((child) =>
        ts.isJsxExpression(child)
          ? child.expression
            ? rendered(child.expression)
            : ''
          : ts.isJsxText(child)
            ? rendered(child)
            : '{}',
      )
      .join('');
  return `{${nameOf(node)}}`;
}

/** The telling part of an expression: `deg` of `deg(2 * sigma)`, `boardId` of `hello.boardId`. */
function nameOf(node: ts.Node): string {
  if (ts.isIdentifier(node)) return node.text;
  if (ts.isPropertyAccessExpression(node)) return node.name.text;
  if (ts.isCallExpression(node)) {
    const { expression } = node;
    if (
      ts.isPropertyAccessExpression(expression) &&
      /^(?:toFixed|join|map|toString|trim|slice|padStart|padEnd|replace|toLowerCase)$/.test(expression.name.text)
    )
      return nameOf(expression.expression);
    return nameOf(expression);
  }
  if (ts.isParenthesizedExpression(node) || ts.isNonNullExpression(node)) return nameOf(node.expression);
  if (ts.isBinaryExpression(node)) return nameOf(ts.isNumericLiteral(node.left) ? node.right : node.left);
  return '';
}

/** The paragraphs, points, rows and headings of a guide, without what is to be typed. */
function inMarkdown(text: string): Found[] {
  const found: Found[] = [];
  let open: Found | undefined;
  let isTyped = false;
  text.split('\n').forEach((raw, index) => {
    if (raw.startsWith('```')) isTyped = !isTyped;
    const isCode = isTyped || (/^ {4}/.test(raw) && open === undefined);
    const said = raw.trim();
    if (isCode || said === '' || /^[|\s:-]+$/.test(said) || said.startsWith('```')) {
      open = undefined;
      return;
    }
    const isAlone = /^(?:\||#|!\[)/.test(said);
    if (open && !isAlone && !/^(?:[-*]|\d+\.) /.test(said)) {
      open.text += ` ${said}`;
      return;
    }
    const begun = { line: index + 1, text: said };
    found.push(begun);
    open = isAlone ? undefined : begun;
  });
  return found.filter(({ text: said }) => /[A-Za-z]{2,}/.test(said));
}

function inHtml(text: string): Found[] {
  const shown = text.replace(/<(script|style)[\s\S]*?<\/\1>|<!--[\s\S]*?-->/g, (hidden) =>
    hidden.replace(/[^\n]/g, ''),
  );
  return [...shown.matchAll(/>([^<>]*[A-Za-z]{2,}[^<>]*)</g)].map(({ 1: said, index }) => ({
    line: shown.slice(0, index).split('\n').length,
    text: said.replace(/\s+/g, ' ').trim(),
  }));
}
