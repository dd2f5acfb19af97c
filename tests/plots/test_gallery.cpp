// Every chart of the gallery, which has most kinds that the programs draw: told apart without colour, no label
// on another. Measured in the drawn SVG. That the gallery is what the programs draw is another test (gallery/check.sh). What
// the programs' own tests draw, every kind and all charts of a report, is measured there (tests/tools).

#include "plots/chart_measure.hpp"

using namespace chart_measure;

namespace {

std::vector<std::filesystem::path> gallery() {
  std::vector<std::filesystem::path> files;
  for (const auto& entry : std::filesystem::directory_iterator(STILE_GALLERY)) {
    if (entry.path().extension() == ".svg") files.push_back(entry.path());
  }
  std::sort(files.begin(), files.end());
  return files;
}

}  // namespace

TEST_CASE("simulated colour vision keeps what is grey, and takes red from green") {
  for (const Matrix& m : deficiencies) {
    for (const auto& row : m) CHECK(row[0] + row[1] + row[2] == Approx(1.0).margin(2e-6));
  }
  CHECK(least_difference({0.0, 0.0, 0.0}, {1.0, 1.0, 1.0}) == Approx(100.0).margin(0.1));
  // Vermilion and bluish green of M. Okabe, K. Ito, 2008: of one lightness, so that colour alone does not do.
  CHECK(least_difference({0xD5 / 255.0, 0x5E / 255.0, 0.0}, {0.0, 0x9E / 255.0, 0x73 / 255.0}) < contrast);
  CHECK(least_difference({0.0, 0.0, 0.0}, {0.0, 0x72 / 255.0, 0xB2 / 255.0}) > contrast);
  CHECK(alike({"", "line solid; ", {{0.8, 0.4, 0.0}}}, {"", "line solid; ", {{0.8, 0.4, 0.1}}}));
  CHECK(!alike({"", "line solid; ", {{0.8, 0.4, 0.0}}}, {"", "line 1.0 0.3; ", {{0.8, 0.4, 0.0}}}));
}

TEST_CASE("any two entries of a chart's legend differ in grey and in three colour vision deficiencies, or by form") {
  std::size_t charts = 0, pairs = 0;
  for (const auto& file : gallery()) {
    const std::size_t of_chart = check_legend(file);
    charts += of_chart > 0;
    pairs += of_chart;
  }
  CHECK(charts >= 20);
  CHECK(pairs >= 100);
}

TEST_CASE("labels lie on no other label, under no box, and inside the page") {
  std::size_t texts = 0;
  for (const auto& file : gallery()) texts += check_labels(file);
  CHECK(texts >= 1000);
}
