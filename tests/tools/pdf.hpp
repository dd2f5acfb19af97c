#pragma once
// What a PDF draws, as its reader finds it.

#include <cmath>
#include <sstream>
#include <string>
#include <vector>

#include "programs.hpp"

namespace programs {

struct PdfLine {
  double x1, y1, x2, y2;
};

/// Straight lines of the first page in mm from its upper left: "x y m x y l S" of its unpacked content, which cairo
/// writes in points after turning y over.
inline std::vector<PdfLine> pdf_lines_mm(const Folder& folder, const std::string& file) {
  const Run run = folder.run("qpdf --qdf --object-streams=disable \"" + file + "\" -");
  REQUIRE(run.status == 0);
  std::vector<PdfLine> lines;
  std::istringstream text(run.out);
  for (std::string line; std::getline(text, line);) {
    PdfLine l{};
    if (std::sscanf(line.c_str(), "%lf %lf m %lf %lf l S", &l.x1, &l.y1, &l.x2, &l.y2) != 4) continue;
    constexpr double mm = 25.4 / 72.0;
    lines.push_back({mm * l.x1, mm * l.y1, mm * l.x2, mm * l.y2});
  }
  return lines;
}

inline bool has_line(const std::vector<PdfLine>& lines, double x1, double y1, double x2, double y2, double within_mm) {
  return std::any_of(lines.begin(), lines.end(), [&](const PdfLine& l) {
    return std::abs(l.x1 - x1) <= within_mm && std::abs(l.y1 - y1) <= within_mm && std::abs(l.x2 - x2) <= within_mm &&
           std::abs(l.y2 - y2) <= within_mm;
  });
}

}  // namespace programs
