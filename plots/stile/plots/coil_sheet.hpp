#pragma once
// What is taken to the bench: the build sheet of a coil, as tables and as designed pages.

#include <string>
#include <utility>
#include <vector>

#include <stile/coil/build.hpp>
#include <stile/plots/schematic.hpp>
#include <stile/safety/cautions.hpp>

namespace stile::plots {

struct SheetTable {
  std::string title;
  std::vector<std::vector<std::string>> rows;  ///< the first one is the heading
  std::vector<std::string> notes = {};         ///< a paragraph each, below
};

struct SheetCircuit {
  std::string title;
  Schematic circuit;
};

struct CoilSheet {
  std::string title;
  coil::Winding winding;                                      ///< one section
  std::vector<std::pair<std::string, coil::WirePlace>> taps;  ///< label and place
  double lead_m = 0.05;                                       ///< spare wire at each end
  std::vector<SheetTable> tables;                             ///< what else was found: settings, what a meter shows
  std::vector<SheetCircuit> circuits = {};
  std::vector<std::string> warnings;
  std::vector<safety::Caution> cautions;
  std::string program;  ///< that computed it, with its version
};

/// The winding, row by row: what it is and its value.
std::vector<std::vector<std::string>> winding_rows(const CoilSheet& sheet);

/// Everything else in tables, in the sheet's order: its own, drill plan, taps, place of each turn.
/// @throws DomainError  as coil::build_data
std::vector<SheetTable> sheet_tables(const CoilSheet& sheet);

/// A4 pages: the coil drawn to scale with dimensions and taps, its winding, circuits, tables, cautions.
/// @throws DomainError  as coil::build_data
/// @throws Error        no font is installed
std::vector<Drawing> coil_sheet(const CoilSheet& sheet);

}  // namespace stile::plots
