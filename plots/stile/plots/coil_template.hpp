#pragma once
// The winding template of a coil at 1 : 1.

#include <string>
#include <utility>
#include <vector>

#include <stile/coil/build.hpp>
#include <stile/plots/drawing.hpp>

namespace stile::plots {

struct CoilTemplate {
  std::string title;
  coil::Winding winding;                                      ///< one section
  std::vector<std::pair<std::string, coil::WirePlace>> taps;  ///< label and place
  std::string program;                                        ///< that computed it, with its version
};

/// The former's surface unrolled at 1 : 1, to be wrapped round it: the path of the wire, taps and holes, and two rulers
/// to check the print. The page is the smallest of A4 to A2 that holds it, or larger.
/// @throws DomainError  as build_data
Drawing coil_template(const CoilTemplate& coil);

}  // namespace stile::plots
