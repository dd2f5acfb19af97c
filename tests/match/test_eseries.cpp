#include <catch2/catch.hpp>

#include <charconv>
#include <cmath>
#include <limits>
#include <map>
#include <random>
#include <string>
#include <utility>
#include <vector>

#include <stile/base/errors.hpp>
#include <stile/base/table.hpp>
#include <stile/match/eseries.hpp>

using namespace stile;
using namespace stile::match;

namespace {

const std::vector<ESeries> all_series{ESeries::e3,  ESeries::e6,  ESeries::e12, ESeries::e24,
                                      ESeries::e48, ESeries::e96, ESeries::e192};

std::string shortest(double value) {
  char text[64];
  return {text, std::to_chars(text, text + sizeof text, value).ptr};
}

double from_text(const std::string& text) {
  double value = 0.0;
  std::from_chars(text.data(), text.data() + text.size(), value);
  return value;
}

/// Fixed start value; values spread evenly in ratio over the decades of real parts.
std::vector<double> part_values(int count) {
  std::mt19937_64 generator(20240607);
  std::uniform_real_distribution<double> exponent(-13.0, 7.0);
  std::vector<double> values;
  for (int i = 0; i < count; ++i) values.push_back(std::pow(10.0, exponent(generator)));
  return values;
}

}  // namespace

TEST_CASE("E series hold exactly the values of IEC 60063") {
  const std::string path = STILE_TEST_DATA "/match/eseries.csv";
  const Table table = read_table(read_text_file(path), path);
  REQUIRE(table.rows.size() == 3 + 6 + 12 + 24 + 48 + 96 + 192);
  std::map<std::string, std::vector<double>> listed;
  for (std::size_t row = 0; row < table.rows.size(); ++row) {
    std::vector<double>& values = listed[table.text(row, "series")];
    REQUIRE(table.number(row, "index") == static_cast<double>(values.size()));
    values.push_back(table.number(row, "value"));
  }
  REQUIRE(listed.size() == all_series.size());
  for (const auto& [name, values] : listed) {
    INFO(name);
    CHECK(e_series_decade(e_series_from_name(name)) == values);
  }
}

TEST_CASE("E series values are the doubles nearest to their decimal text in every decade") {
  const std::string path = STILE_TEST_DATA "/match/eseries.csv";
  const Table table = read_table(read_text_file(path), path);
  for (std::size_t row = 0; row < table.rows.size(); ++row) {
    const ESeries series = e_series_from_name(table.text(row, "series"));
    for (int exponent = -13; exponent <= 7; ++exponent) {
      const double value = from_text(table.text(row, "value") + "e" + std::to_string(exponent));
      const Neighbours found = e_series_neighbours(series, value);
      INFO(table.text(row, "series") << " " << shortest(value));
      CHECK(found.below == value);
      CHECK(found.above == value);
      CHECK(e_series_nearest(series, value) == value);
    }
  }
  CHECK(shortest(e_series_nearest(ESeries::e24, 4.69e-10)) == "4.7e-10");
  CHECK(shortest(e_series_nearest(ESeries::e96, 1.0201e-6)) == "1.02e-06");
  CHECK(shortest(e_series_nearest(ESeries::e192, 9.19e3)) == "9200");
}

TEST_CASE("E series neighbours bracket the value with nothing between them") {
  for (const ESeries series : all_series) {
    const std::vector<double> decade = e_series_decade(series);
    for (const double value : part_values(2000)) {
      const auto [below, above] = e_series_neighbours(series, value);
      INFO(e_series_name(series) << " " << shortest(value) << ": " << shortest(below) << " " << shortest(above));
      REQUIRE(below <= value);
      REQUIRE(value <= above);
      // The one below, brought into the list of a decade, is followed there by the one above.
      const double scale = std::pow(10.0, std::floor(std::log10(below * (1.0 + 1e-12))));
      std::size_t k = 0;
      while (k + 1 < decade.size() && decade[k + 1] <= below / scale * (1.0 + 1e-12)) ++k;
      REQUIRE(std::abs(below / scale - decade[k]) <= 1e-12 * decade[k]);
      const double next = k + 1 < decade.size() ? decade[k + 1] : 10.0;
      REQUIRE(std::abs(above / scale - next) <= 1e-12 * next);
    }
  }
}

TEST_CASE("E series neighbours one bit beside a preferred value") {
  for (const ESeries series : all_series) {
    const double end = std::numeric_limits<double>::infinity();
    for (const double value : e_series_decade(series)) {
      INFO(e_series_name(series) << " " << shortest(value));
      CHECK(e_series_neighbours(series, std::nextafter(value, end)).below == value);
      CHECK(e_series_neighbours(series, std::nextafter(value, 0.0)).above == value);
      CHECK(e_series_neighbours(series, std::nextafter(value, 0.0)).below < value);
      CHECK(e_series_nearest(series, std::nextafter(value, end)) == value);
    }
  }
}

TEST_CASE("E series nearest value rises with the wanted one and is the nearer neighbour in ratio") {
  for (const ESeries series : all_series) {
    double last = 0.0;
    for (double value = 0.93e-12; value < 1.3e-9; value *= 1.0007) {
      const double nearest = e_series_nearest(series, value);
      const auto [below, above] = e_series_neighbours(series, value);
      INFO(e_series_name(series) << " " << shortest(value));
      REQUIRE(nearest >= last);
      REQUIRE((nearest == below || nearest == above));
      const double other = nearest == below ? above : below;
      REQUIRE(std::abs(std::log(nearest / value)) <= std::abs(std::log(other / value)) + 1e-14);
      last = nearest;
    }
  }
  // 3.16 lies nearer to 2.2 than to 4.7 by difference (0.96 against 1.54), and in ratio (1.436 against 1.487); 3.3 lies
  // nearer to 2.2 by difference (1.1 against 1.4), but to 4.7 in ratio (1.5 against 1.424).
  CHECK(e_series_nearest(ESeries::e3, 3.16) == 2.2);
  CHECK(e_series_nearest(ESeries::e3, 3.3) == 4.7);
  CHECK(e_series_nearest(ESeries::e6, 9.0) == 10.0);
}

TEST_CASE("E series neighbours do not depend on the decade") {
  for (const ESeries series : all_series) {
    for (const double value : part_values(300)) {
      const Neighbours here = e_series_neighbours(series, value);
      const Neighbours next = e_series_neighbours(series, value * 10.0);
      INFO(e_series_name(series) << " " << shortest(value));
      REQUIRE(std::abs(next.below - 10.0 * here.below) <= 1e-15 * next.below);
      REQUIRE(std::abs(next.above - 10.0 * here.above) <= 1e-15 * next.above);
    }
  }
}

TEST_CASE("E series of fewer values are part of those of more") {
  const std::vector<std::pair<ESeries, ESeries>> pairs{{ESeries::e3, ESeries::e6},
                                                       {ESeries::e6, ESeries::e12},
                                                       {ESeries::e12, ESeries::e24},
                                                       {ESeries::e48, ESeries::e96},
                                                       {ESeries::e96, ESeries::e192}};
  for (const auto& [few, many] : pairs) {
    const std::vector<double> part = e_series_decade(few), all = e_series_decade(many);
    REQUIRE(all.size() == 2 * part.size());
    for (std::size_t k = 0; k < part.size(); ++k) CHECK(part[k] == all[2 * k]);
  }
}

TEST_CASE("E series names go both ways and others are refused with the list") {
  for (const ESeries series : all_series) CHECK(e_series_from_name(e_series_name(series)) == series);
  CHECK(e_series_name(ESeries::e24) == "E24");
  for (const char* name : {"", "24", "e24", "E25", "E24 ", "E"}) {
    INFO(name);
    CHECK_THROWS_WITH(e_series_from_name(name), Catch::Contains("E3, E6, E12, E24, E48, E96, E192"));
    CHECK_THROWS_AS(e_series_from_name(name), DomainError);
  }
}

TEST_CASE("E series refuse values that no part has") {
  const double infinity = std::numeric_limits<double>::infinity();
  for (const double value : {0.0, -1.0, infinity, -infinity, std::nan(""), 1e-301, 1e301}) {
    INFO(value);
    CHECK_THROWS_AS(e_series_neighbours(ESeries::e12, value), DomainError);
    CHECK_THROWS_AS(e_series_nearest(ESeries::e12, value), DomainError);
  }
  CHECK(e_series_nearest(ESeries::e192, 1e-300) == 1e-300);
  CHECK(e_series_nearest(ESeries::e192, 1e300) == 1e300);
}
