/** Words wrapped to a width, each line after `indent` spaces; the first line may start with a label in that space. */
export function paragraph(text: string, layout: { readonly width: number; readonly indent: number; readonly label?: string }): string {
  const { width, indent, label = '' } = layout;
  const margin = ' '.repeat(indent);
  const lines: string[] = [];
  let line = label.padEnd(indent);
  let isEmpty = true;
  for (const word of text.split(/\s+/)) {
    if (!isEmpty && line.length + 1 + word.length > width) {
      lines.push(line);
      line = margin;
      isEmpty = true;
    }
    line += isEmpty ? word : ` ${word}`;
    isEmpty = false;
  }
  lines.push(line);
  return lines.join('\n');
}
