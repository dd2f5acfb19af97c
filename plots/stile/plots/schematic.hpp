#pragma once
// A ladder between transmitter and antenna as a circuit diagram.

#include <optional>
#include <string>
#include <vector>

#include <stile/network/element.hpp>
#include <stile/plan/plan.hpp>
#include <stile/plots/drawing.hpp>

namespace stile::plots {

/// A coil with its start at the common return and two taps.
struct Autotransformer {
  double feed_turns = 0.0, antenna_turns = 0.0, all_turns = 0.0;
};

struct Schematic {
  std::vector<network::Element> elements;                      ///< from transmitter to antenna
  std::optional<std::size_t> tapped{};                         ///< which of them is a tapped coil
  std::string tap;                                             ///< what to print beside it: "tap 73 of 77"
  std::optional<Autotransformer> autotransformer{};            ///< in place of the elements; `tap` stands beside it
  std::optional<network::TransmissionLine> before{}, after{};  ///< cables to transmitter and antenna
};

/// What a plan sets, with the taps of its wound coil.
/// @param all_turns  of that coil; not used where there is none
Schematic schematic_of(const plan::Setting& setting, double all_turns);

/// The same of a possible condition, with the cables on both sides.
Schematic schematic_of(const plan::ConditionResult& condition, double all_turns);

/// Room that a row of a schematic takes.
inline constexpr double schematic_row_mm = 34.0;
/// Type of its smallest texts.
inline constexpr double schematic_type_mm = 2.3;

/// Room that a schematic takes in a width: one row, or as many as it needs so that no name runs into another.
/// @throws Error  no font is installed
double schematic_height_mm(const Schematic& schematic, double width_mm);

/// Draws transmitter, parts and antenna between x and x + width, each part with its kind and value; y is the upper
/// edge. Where the row is too short the two wires go on in the next one from letters to the same letters. Coils,
/// capacitors and resistors have the symbols of the trade; lines, transformers and whatever else are named boxes,
/// cables too. An autotransformer is drawn with its two taps in their order, not to scale.
/// @throws Error  no font is installed
void draw_schematic(Drawing& page, double x_mm, double y_mm, double width_mm, const Schematic& schematic);

}  // namespace stile::plots
