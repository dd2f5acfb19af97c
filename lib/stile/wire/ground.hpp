#pragma once
// What is under the antenna.

#include <string>
#include <string_view>
#include <vector>

#include <stile/base/quantity.hpp>
#include <stile/base/range.hpp>

namespace stile::wire {

enum class GroundKind { free_space, perfect, lossy };

/// How the lossy half-space is computed.
enum class GroundMethod {
  rigorous,       ///< Sommerfeld integrals
  complex_image,  ///< images of charge and vertical current at the mirror point, of horizontal current at a complex
  ///< depth. Against the rigorous result (whip of 2.4 m, wire of 6.7 m at 1 cm to 1.2 m, 3.6 to 28.4 MHz,
  ///< three soils): R -21..+29 %, X within 20 % of |Z|; with the wire shorter than a quarter wave (3.6
  ///< and 7.1 MHz) R -6..+11 %, X within 1 % of |Z|. A frame alone: R -28 %.
};

/// What a ground's relative permittivity may be, in the library, a file and on a command line alike. Water has 80; soil
/// at the low end of HF a few hundred at most (common practice).
inline constexpr Range ground_permittivity_range{1.0, 1000.0};

struct Ground {
  GroundKind kind = GroundKind::free_space;
  double relative_permittivity = 1.0;  ///< in ground_permittivity_range; used when lossy
  double conductivity_s_m = 0.0;       ///< 0..1e8; used when lossy
  bool operator==(const Ground&) const = default;
};

Ground free_space();
Ground perfect_ground();
/// @throws DomainError  relative_permittivity outside ground_permittivity_range or conductivity_s_m outside 0..1e8
Ground lossy_ground(double relative_permittivity, double conductivity_s_m);

struct NamedGround {
  std::string_view name;
  Ground ground;
};

/// "sea", "wet", "average", "medium dry", "very dry", and "fresh water".
/// Source: pairs of Rec. ITU-R P.527-3 (1992), Annex 1, Fig. 1, as seen in a public list of ground types (the chart
/// itself not read): sea 70/5, wet 30/1e-2, medium dry 15/1e-3, very dry 3/1e-4, fresh water 80/3e-3 (from memory);
/// average 13/5e-3: common in engineering lists. Real soil differs with frequency and weather by a factor of two
/// and more.
const std::vector<NamedGround>& ground_classes();

/// One of the classes, or "free space", or "perfect".
/// @throws DomainError  another name; the message lists the legal ones
Ground ground_by_name(std::string_view name);

/// The name of such a ground, or its two values: "wet", "relative permittivity 20, 8 mS/m".
std::string ground_words(const Ground& ground);

/// eps_r - j sigma/(w eps0) of a lossy ground.
/// @throws DomainError  not lossy, its values out of range as in lossy_ground, frequency_hz not positive
cdouble complex_permittivity(const Ground& ground, double frequency_hz);

/// Depth at which a plane wave has fallen to 1/e, m; infinite without conductivity.
/// @throws DomainError  as complex_permittivity
/// For users of the library.
double ground_depth_m(const Ground& ground, double frequency_hz);

}  // namespace stile::wire
