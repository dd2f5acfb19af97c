#pragma once
// What one varied number does to the loss of every arrangement.

#include <string>
#include <vector>

#include <stile/plots/chart.hpp>

namespace stile::plots {

/// One line: the same label has the same look in every panel.
struct StudyCurve {
  std::string label;
  std::vector<double> value;    ///< finite, rising or falling; not empty
  std::vector<double> loss_db;  ///< as many; infinite leaves a gap
};

struct StudyPanel {
  std::string title;  ///< the band, and where its answer changes
  std::vector<StudyCurve> curves;
};

/// One panel a band: loss in dB, little at the top, against the number.
///
/// @param panels  not empty; one without a finite loss is left out
/// @param axis    the number and its unit
/// @throws DomainError  lengths that differ, no finite loss at all
Chart study_chart(const std::vector<StudyPanel>& panels, const std::string& axis, const ChartText& text);

}  // namespace stile::plots
