// Pack: single papers as they are now, the whole pack for printing, the printer's correction.
import { choice, el, field, fill, many, SIGN } from "./make.js";
import { send } from "./store.js";

const HELD = ["papers"];

export function mount(place, desk) {
  return new PackScreen(place, desk);
}

class PackScreen {
  constructor(place, desk) {
    this.desk = desk;
    this.papers = el("section.stack", { "aria-label": "Papers" });
    this.written = el("section.stack", { "aria-label": "Written files" });
    this.told = el("p.say", { role: "status" });
    this.tiles = choice("A4", ["A4", "A3", "Letter", "Tabloid"]);
    this.printer = el("input", { size: 14, maxlength: 40, list: "printers" });
    this.across = el("input", { size: 6, inputmode: "decimal" });
    this.up = el("input", { size: 6, inputmode: "decimal" });
    this.button = el("button.main", { type: "submit" }, "Write the pack");
    const form = el("form.stack", { onsubmit: (event) => { event.preventDefault(); this.write(); } },
      el("p.hint", {}, "Print at 100 %, never “fit to page”. Then measure the 100 mm bars on one tile of the forming board: if they are off, name the printer, type what they measure, and write the pack again; the correction is remembered for that printer."),
      el("div.row", {}, field("Paper of the board's tiles", this.tiles), field("Printer", this.printer), field("100 mm across measures, mm", this.across), field("100 mm up measures, mm", this.up), this.button),
      el("p.small", {}, "Writing the pack gives wire numbers for good. The files lie in the job's folder pack/, too."), this.told);
    place.append(el("div.stack", {}, el("h2", {}, "Pack"), el("section.sheet", {}, form), this.written, this.papers));
    this.need();
    desk.fetch("printers").then((names) => place.append(el("datalist", { id: "printers" }, names.map((one) => el("option", { value: one }))))).catch(() => {});
  }

  async need() {
    if (await this.desk.need(HELD)) this.show();
  }

  update() {
    if (!this.desk.slices.papers) this.need();
    else this.show();
  }

  show() {
    const rows = (this.desk.slices.papers || []).map((one) => el("tr", {}, el("td", {}, el("a", { href: `${this.desk.base}/paper/${one.key}.pdf`, target: "_blank", rel: "noopener" }, one.title)),
      el("td", {}, one.not_for_build ? el("span.sign.fault", {}, `${SIGN.fault} NOT FOR BUILD`) : "")));
    fill(this.papers, el("h3", {}, "Single papers, as of now"), rows.length ? el("table", {}, el("tbody", {}, rows)) : el("p.hint", {}, "No paper has anything to say yet."));
  }

  async write() {
    const number = (input) => Number(input.value.replace(",", "."));
    const measured = this.across.value && this.up.value ? [number(this.across), number(this.up)] : null;
    if (measured && !this.printer.value.trim()) {
      this.told.textContent = "Name the printer the bars were printed on.";
      return;
    }
    this.button.disabled = true;
    this.told.textContent = "Writing the papers …";
    try {
      const found = await send(`${this.desk.base}/pack`, { tile_paper: this.tiles.value, printer: this.printer.value.trim(), measured });
      this.told.textContent = found.faults ? `Written. Sheets that ${many(found.faults, "fault")} touch are stamped NOT FOR BUILD.` : `Written, digest ${found.printed_digest}.`;
      this.showWritten(found.files);
    } catch (fault) {
      this.told.textContent = fault.message;
    }
    this.button.disabled = false;
  }

  showWritten(files) {
    const link = (one) => el("a", { href: `${this.desk.base}/pack/${one.file.split("/").map(encodeURIComponent).join("/")}`, target: "_blank", rel: "noopener" }, one.file);
    const rows = files.map((one) => el("tr", {}, el("td", {}, link(one)), el("td", {}, one.words), el("td", {}, one.sheets ? `${many(one.sheets, "sheet")} ${one.paper}` : "")));
    fill(this.written, el("h3", {}, "Written"), el("div.scroll", {}, el("table", {}, el("thead", {}, el("tr", {}, ["file", "what it is", "prints on"].map((x) => el("th", {}, x)))), el("tbody", {}, rows))));
  }

  destroy() {
    this.desk.release(HELD);
  }
}
