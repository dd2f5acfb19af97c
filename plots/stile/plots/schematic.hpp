#pragma once
// A ladder between transmitter and antenna as a circuit diagram.

#include <optional>
#include <string>
#include <vector>

#include <stile/network/element.hpp>
#include <stile/plots/drawing.hpp>

namespace stile::plots {

struct Schematic {
  std::vector<network::Element> elements;  ///< from transmitter to antenna
  std::optional<std::size_t> tapped{};     ///< which of them is a tapped coil
  std::string tap;                         ///< what to print beside it: "tap 73 of 77"
};

/// Room that a schematic takes.
inline constexpr double schematic_height_mm = 34.0;

/// Draws transmitter, parts and antenna between x and x + width, each part with its kind and value; y is the upper edge.
/// Coils, capacitors and resistors have the symbols of the trade; lines, transformers and whatever else are named boxes.
void draw_schematic(Drawing& page, double x_mm, double y_mm, double width_mm, const Schematic& schematic);

}  // namespace stile::plots
