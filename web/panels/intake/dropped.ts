/** A file as it was given: with the folders it lay in, when it came in one. */
export interface GivenFile {
  readonly name: string;
  readonly body: Blob;
}

const MOST_FILES = 500;

/** Files of a drop or a paste; folders are walked through. Must be called while the event is being handled. */
export function filesOf(transfer: DataTransfer): Promise<readonly GivenFile[]> {
  const entries = [...transfer.items].filter((item) => item.kind === 'file').map((item) => item.webkitGetAsEntry() ?? item.getAsFile()).filter((entry) => entry !== null);
  return entries.length > 0 ? walk(entries) : Promise.resolve([...transfer.files].map(givenOf));
}

export const givenOf = (file: File): GivenFile => ({ name: file.webkitRelativePath === '' ? file.name : file.webkitRelativePath, body: file });

async function walk(entries: readonly (FileSystemEntry | File)[]): Promise<readonly GivenFile[]> {
  const found: GivenFile[] = [];
  const waiting = [...entries];
  for (let entry = waiting.shift(); entry !== undefined && found.length < MOST_FILES; entry = waiting.shift()) {
    if (entry instanceof File) found.push(givenOf(entry));
    else if (entry.isDirectory) waiting.push(...(await childrenOf(entry as FileSystemDirectoryEntry)));
    else if (!/^(?:\.DS_Store|Thumbs\.db|desktop\.ini)$/.test(entry.name)) found.push({ name: entry.fullPath.replace(/^\//, ''), body: await bodyOf(entry as FileSystemFileEntry) });
  }
  return found;
}

/** A folder gives its entries a hundred at a time. */
async function childrenOf(folder: FileSystemDirectoryEntry): Promise<readonly FileSystemEntry[]> {
  const reader = folder.createReader();
  const all: FileSystemEntry[] = [];
  for (;;) {
    const some = await new Promise<FileSystemEntry[]>((resolve, reject) => { reader.readEntries(resolve, reject); });
    if (some.length === 0) return all;
    all.push(...some);
  }
}

const bodyOf = (entry: FileSystemFileEntry): Promise<File> => new Promise((resolve, reject) => { entry.file(resolve, reject); });
