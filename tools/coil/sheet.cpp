#include "coil/sheet.hpp"

#include <fmt/format.h>

#include <stile/plots/coil_template.hpp>

#include "cli/cautions.hpp"
#include "cli/command_line.hpp"
#include "cli/output.hpp"
#include "cli/paper.hpp"
#include "cli/table.hpp"

namespace stile::tools {
namespace {

constexpr std::size_t columns = 98;

}  // namespace

std::string build_sheet_text(const plots::CoilSheet& sheet) {
  std::string text = "BUILD SHEET  " + sheet.title + "\n\n" + aligned(plots::winding_rows(sheet));
  for (const plots::SheetTable& table : plots::sheet_tables(sheet)) {
    text += "\n" + table.title + "\n" + aligned(table.rows);
    if (!table.notes.empty()) text += "\n";
    for (const std::string& note : table.notes) text += wrapped(note, 0, columns);
  }
  for (const std::string& warning : sheet.warnings) text += wrapped("Warning: " + warning + ".", 0, columns);
  text += "\nCautions\n";
  for (const safety::Caution& c : sheet.cautions)
    text += wrapped(c.hazard + ": " + c.text + " (" + c.basis + ")", 2, columns);
  return text;
}

void add_build_sheet(const plots::CoilSheet& sheet, const std::string& file, const Description& description,
                     const Arguments& arguments, Outputs& outputs) {
  if (file_ending(file) != ".pdf") return outputs.add(file, build_sheet_text(sheet));
  const std::vector<plots::Drawing> pages = plots::coil_sheet(sheet);
  tell_missing_letters(pages, file, description, arguments);
  outputs.add(file, plots::pdf_text(pages, "Build sheet: " + sheet.title));
}

void add_template(const plots::CoilSheet& sheet, const std::string& file, const Description& description,
                  const Arguments& arguments, Outputs& outputs) {
  const plots::Drawing drawing = plots::coil_template({sheet.title, sheet.winding, sheet.taps, sheet.program});
  if (file_ending(file) != ".pdf") return outputs.add(file, plots::svg_text(drawing));
  tell_missing_letters({drawing}, file, description, arguments);
  outputs.add(file, plots::pdf_text({drawing}, "Winding template: " + sheet.title));
}

}  // namespace stile::tools
