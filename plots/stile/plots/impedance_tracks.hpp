#pragma once
// Impedances, or other complex quantities, over frequency: one line a track.

#include <string>
#include <vector>

#include <stile/base/quantity.hpp>
#include <stile/plots/chart.hpp>

namespace stile::plots {

struct ImpedanceTrack {
  std::string label;
  std::vector<double> frequency_hz;  ///< > 0, rising; not empty
  std::vector<cdouble> z_ohm;        ///< finite; as many
};

struct TrackTitles {
  std::string real, real_axis, imaginary, imaginary_axis;
};

/// Real part above, on a logarithmic axis when it is > 0 and spans more than a factor of ten; imaginary part below, on
/// an axis logarithmic both ways from 0 when it goes beyond 100 and changes sign or by a factor of five. Stretches of
/// frequencies between wide gaps stand side by side; in one of 1.5 MHz or more the amateur bands are shaded.
///
/// @param tracks  1..16
/// @throws DomainError  outside these
Chart tracks_chart(const std::vector<ImpedanceTrack>& tracks, const TrackTitles& titles, const ChartText& text);

/// The tracks in the plane of the reflection coefficient, with the frequency at the ends of each stretch; a single
/// frequency is left to the title. Tracks that lie close together are magnified, the whole plane small beside them.
///
/// @param reference_ohm  > 0
Chart tracks_smith_chart(const std::vector<ImpedanceTrack>& tracks, double reference_ohm, const ChartText& text);

}  // namespace stile::plots
