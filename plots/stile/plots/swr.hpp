#pragma once
// SWR across each band.

#include <string>
#include <vector>

#include <stile/plots/chart.hpp>

namespace stile::plots {

/// One line: the same label has the same look in every panel.
struct SwrCurve {
  std::string label;
  std::vector<double> frequency_hz;  ///< > 0, rising
  std::vector<double> swr;           ///< >= 1, infinite allowed; same length
};

struct SwrPanel {
  std::string title;  ///< the band
  std::vector<SwrCurve> curves;
  double use_low_hz = 0.0, use_high_hz = 0.0;  ///< the part of the band in use, shaded; both 0: not shown
};

/// One panel a band: frequency in MHz, SWR on a logarithmic axis from 1 to 10, the limit as a labelled line.
/// Where a curve lies above 10, arrows of its colour stand at the top edge: no curve has them as its mark.
///
/// @param panels     not empty, each with a curve that has points; twelve fit an A4 page
/// @param swr_limit  > 1; above 10 it is not drawn and a note says so
/// @param shaded     what use_low_hz to use_high_hz is
/// @throws DomainError  a value outside its range, lengths that differ
Chart swr_chart(const std::vector<SwrPanel>& panels, double swr_limit, const ChartText& text,
                const std::string& shaded = "the part of the band in use");

}  // namespace stile::plots
