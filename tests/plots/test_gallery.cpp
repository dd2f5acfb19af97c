// Every chart of the gallery, which has most kinds that the programs draw: told apart without colour, no label
// on another. Measured in the drawn SVG. That the gallery is what the programs draw is another test (gallery/check.sh).
// What the programs' own tests draw, every kind and all charts of a report, is measured there (tests/tools).

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

TEST_CASE("no label is struck through by a mark or a dark line") {
  // A line across the middle of the letters, and one that passes below them.
  CHECK(enters({0.0, 5.0}, {10.0, 5.0}, {2.0, 2.0, 8.0, 8.0}));
  CHECK(enters({0.0, 0.0}, {5.0, 5.0}, {2.0, 2.0, 8.0, 8.0}));
  CHECK(!enters({0.0, 9.0}, {10.0, 9.0}, {2.0, 2.0, 8.0, 8.0}));
  CHECK(!enters({0.0, 0.0}, {1.0, 1.0}, {2.0, 2.0, 8.0, 8.0}));
  const auto strike = [](std::vector<Shape> shapes) {
    Picture p{100.0, 100.0, {{"50", {20.0, 20.0, 40.0, 30.0}, 10.0, {20.0, 27.6}, true, true}}, std::move(shapes), {}};
    p.texts_before.resize(p.shapes.size());
    return strike_of(p, 0);
  };
  const Shape line{"line solid", {}, {0.0, 25.0, 50.0, 25.0}, {}, {}, {{{0.0, 25.0}, {50.0, 25.0}}}},
      mark{"mark #gpPt5", {}, {33.0, 20.0, 43.0, 30.0}, {}, {}, {}},
      ground{"fill", {1.0, 1.0, 1.0}, {19.0, 19.0, 41.0, 31.0}, {}, {}, {}};
  CHECK(strike({line}) == "the line at 0.0, 25.0");
  CHECK(strike({mark}) == "the mark at 33.0, 20.0");
  CHECK(strike({line, mark, ground}) == "");
  CHECK(strike({ground, line}) != "");
  Shape grid = line;
  grid.colour = {0.7, 0.7, 0.7};
  CHECK(strike({grid}) == "");
  for (const auto& file : gallery()) check_strikes(file);
}

TEST_CASE("labels lie on no other label, under no box, and inside the page") {
  std::size_t texts = 0;
  for (const auto& file : gallery()) texts += check_labels(file);
  CHECK(texts >= 1000);
}
