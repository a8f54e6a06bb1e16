// The two files of a COMTRADE record, put together as the single file the standard knows: the configuration and
// the data, each under its heading. The bytes stay as they are.

import { Problem } from "./api.js";

const FORMAT = /^[ \t]*(ASCII|BINARY32|BINARY|FLOAT32)[ \t]*\r?$/im;

/** `cfg` or `dat` for a file that is half of a record by its name, else nothing. */
export const partOf = (name) => /\.(cfg|dat)$/i.exec(name)?.[1].toLowerCase() ?? null;

const stem = (file) => file.name.replace(/\.\w+$/, "").toLowerCase();

/** The one file that was chosen, or the single file of the two that belong together; throws the Problem there is. */
export async function joined(files) {
  const [configuration, data] = ["cfg", "dat"].map((part) => files.find((file) => partOf(file.name) === part));
  if (files.length === 1 && !configuration) return files[0];
  if (files.length !== 2 || !configuration || !data) {
    throw new Problem(files.length === 1
      ? { title: "half of a record", detail: `${files[0].name} is the configuration of a COMTRADE record; its samples stand in another file.`, hint: "choose or drop the .cfg and the .dat file together; or `loopcrest capture FILE.cfg` with both in one folder" }
      : { title: "more than one file", detail: "One recording is read at a time: one file, or the .cfg and the .dat file of one COMTRADE record.", hint: "choose them anew; `loopcrest captures` sets several side by side" });
  }
  if (stem(configuration) !== stem(data)) {
    throw new Problem({ title: "not of one record", detail: `${configuration.name} and ${data.name} have different names.`, hint: "the two files of a COMTRADE record differ in their ending alone" });
  }
  const text = await configuration.text();
  const [, format] = FORMAT.exec(text) ?? [];
  if (!format) {
    throw new Problem({ title: "cannot be read", detail: `${configuration.name} does not say how its samples are written.`, allowed: "a line with ASCII, BINARY, BINARY32 or FLOAT32" });
  }
  const size = format.toUpperCase() === "ASCII" ? "" : `: ${data.size}`;
  const end = /\n$/.test(text) ? "" : "\r\n";
  const parts = ["--- file type: CFG ---\r\n", configuration, `${end}--- file type: DAT ${format.toUpperCase()}${size} ---\r\n`, data];
  return new File(parts, configuration.name.replace(/\.cfg$/i, ".cff"));
}
