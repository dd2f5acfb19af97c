// Every published measurement with enough geometry, run through the rooms, against the page that says how far off they
// are (examples/measured/README.md). The numbers are regression guards with the error seen, never fitted: a change of a
// model shows here, and then the page is to be changed with its reason.

#include <cmath>
#include <map>
#include <sstream>
#include <string>
#include <vector>

#include <catch2/catch.hpp>
#include <fmt/format.h>

#include <stile/base/constants.hpp>
#include <stile/base/roots.hpp>
#include <stile/base/table.hpp>
#include <stile/coil/analysis.hpp>
#include <stile/coil/potential.hpp>
#include <stile/coil/rings.hpp>
#include <stile/conductor/skin.hpp>
#include <stile/conductor/wire_gauge.hpp>
#include <stile/network/ladder.hpp>
#include <stile/station/wires_file.hpp>
#include <stile/wire/resonance.hpp>
#include <stile/wire/solve.hpp>

#include "coil/reference.hpp"
#include "wire/reference.hpp"

using namespace stile;

namespace {

struct Row {
  std::string id;
  double measured = 0.0, computed = 0.0;
  bool decibel = false;  ///< its error is the difference
};

double error_of(const Row& row) {
  return row.decibel ? row.computed - row.measured : 100.0 * (row.computed / row.measured - 1.0);
}

/// Rows of the page's tables, "| id | what | measured | computed | error |", by id.
struct Printed {
  double measured = 0.0, computed = 0.0, error = 0.0;
};
const std::map<std::string, Printed>& page() {
  static const std::map<std::string, Printed> rows = [] {
    std::map<std::string, Printed> all;
    std::istringstream text(read_text_file(STILE_MEASURED_PAGE));
    for (std::string line; std::getline(text, line);) {
      std::vector<std::string> cells;
      std::istringstream parts(line);
      for (std::string cell; std::getline(parts, cell, '|');) cells.push_back(cell);
      if (cells.size() < 5 || line.front() != '|') continue;
      std::string id = cells[1];
      id = id.substr(id.find_first_not_of(' '), id.find_last_not_of(' ') - id.find_first_not_of(' ') + 1);
      try {
        const std::size_t n = cells.size();
        const bool mixed = cells[n - 2] == " - ";
        all[id] = {std::stod(cells[n - 3]), mixed ? std::nan("") : std::stod(cells[n - 2]), std::stod(cells[n - 1])};
      } catch (const std::invalid_argument&) {  // a heading
      }
    }
    return all;
  }();
  return rows;
}

/// The page says of a class how many rows it has, their mean error and the largest; and of each row what was computed,
/// to the digits it prints: four, and a tenth of a per cent. A class of mixed units has no mean, and its largest error
/// is of those in per cent.
void check(const std::string& of_class, const std::vector<Row>& rows, bool mixed = false) {
  double sum = 0.0, largest = 0.0;
  for (const Row& row : rows) {
    if (row.decibel) continue;
    const double error = error_of(row);
    sum += error / static_cast<double>(rows.size());
    if (std::abs(error) > std::abs(largest)) largest = error;
  }
  INFO(of_class << ": " << rows.size() << " rows, mean " << sum << ", largest " << largest);
  const auto summary = page().find(of_class);
  REQUIRE(summary != page().end());
  CHECK(summary->second.measured == static_cast<double>(rows.size()));
  CHECK(std::isnan(summary->second.computed) == mixed);
  if (!mixed) CHECK(summary->second.computed == Approx(sum).margin(0.11));
  CHECK(summary->second.error == Approx(largest).margin(0.11));

  for (const Row& row : rows) {
    const double error = error_of(row);
    INFO(fmt::format("| {} | | {:.4g} | {:.4g} | {:+.{}f} {} |", row.id, row.measured, row.computed, error,
                     row.decibel ? 2 : 1, row.decibel ? "dB" : "%"));
    const auto printed = page().find(row.id);
    if (printed == page().end()) {
      FAIL_CHECK("the page lacks this row");
      continue;
    }
    CHECK(printed->second.measured == Approx(row.measured).epsilon(6e-4));
    CHECK(printed->second.computed == Approx(row.computed).epsilon(1e-3));
    CHECK(printed->second.error == Approx(error).margin(row.decibel ? 0.006 : 0.11));
  }
}

double coil_resonance_hz(const coil::Winding& winding, coil::Grounded grounded, const coil::RingOptions& rings,
                         coil::ChargeModel charges, double near_hz) {
  const coil::CoilModel model = coil::coil_model(winding, rings, charges);
  return coil::self_resonance_hz(model, coil::solve_turns(model, near_hz), coil::whole(winding, grounded));
}

wire::WireCase drawn(const std::string& name) {
  return station::load_wires(std::string(STILE_TEST_DATA) + "/measured/" + name + ".toml").front();
}

double resonance_mhz(const std::string& name, double low_hz, double high_hz) {
  const wire::WireCase c = drawn(name);
  wire::SolveOptions options;
  options.fineness = 0.5;
  const Root f = wire::resonant_frequency(c.antenna, c.ground, low_hz, high_hz, options);
  REQUIRE(f.status == RootStatus::found);
  return 1e-6 * f.x;
}

}  // namespace

TEST_CASE("coils: inductance and resonance of measured ones") {
  const Table rows = coil::test::coil_reference("measured.csv");
  std::vector<Row> inductance, resonance;
  for (std::size_t i = 0; i < rows.rows.size(); ++i) {
    const coil::Winding winding =
        coil::plain_winding(rows.number(i, "turns"), rows.number(i, "mean_diameter_mm") * 1e-3,
                            rows.number(i, "pitch_mm") * 1e-3, rows.number(i, "wire_diameter_mm") * 1e-3);
    const std::string model = rows.text(i, "model");
    if (rows.text(i, "unit") == "nH") {
      inductance.push_back(
          {rows.text(i, "id"), rows.number(i, "measured"),
           1e9 * coil::analyse(winding, coil::whole(winding), rows.number(i, "f_MHz") * 1e6).inductance_h});
    } else if (model == "exact electrostatics, high-frequency L") {
      resonance.push_back({rows.text(i, "id"), rows.number(i, "measured"),
                           1e-6 * coil_resonance_hz(winding, coil::Grounded::neither, {coil::CurrentModel::surface, 0},
                                                    coil::ChargeModel::round, rows.number(i, "measured") * 1e6)});
    }
  }
  const Table small = coil::test::coil_reference("small_air_coils.csv");
  for (std::size_t i = 0; i < small.rows.size(); ++i) {
    const double shank = small.number(i, "shank_mm"), turns = small.number(i, "turns");
    const coil::Winding winding = coil::plain_winding(turns, (shank + 0.65) * 1e-3, 0.65e-3, 0.6e-3);
    inductance.push_back({fmt::format("S{}-{}", shank, turns), small.number(i, "inductance_nh"),
                          1e9 * coil::analyse(winding, coil::whole(winding), 13e6).inductance_h});
  }
  const Table base = coil::test::coil_reference("srf_measured_grounded_base.csv");
  for (std::size_t i = 0; i < base.rows.size(); ++i) {
    const std::string name = base.text(i, "coil");
    const double n = base.number(i, "N"), measured = base.number(i, "f_measured_Hz");
    coil::Winding winding =
        coil::plain_winding(n, base.number(i, "D_m"), base.number(i, "l_m") / n,
                            conductor::wire_diameter_m(name.find("12AWG") != std::string::npos ? "AWG 12" : "AWG 24"));
    winding.plane = coil::Plane{-base.number(i, "base_height_m"), true};
    resonance.push_back({fmt::format("G{}", i + 1), 1e-3 * measured,
                         1e-3 * coil_resonance_hz(winding, coil::Grounded::from, {coil::CurrentModel::even, 0},
                                                  coil::ChargeModel::automatic, measured)});
  }
  check("Coils, inductance", inductance);
  check("Coils, self-resonance", resonance);
}

TEST_CASE("coils: resistance over that of the straight wire") {
  const Table rows = coil::test::coil_reference("medhurst_phi_from_memory.csv");
  const auto computed = [](double turns, double long_by, double share) {
    const double d = 0.05, pitch = long_by * d / turns, f = 7e6;
    const coil::Winding winding =
        coil::test::with_radius_over_depth(coil::plain_winding(turns, d, pitch, share * pitch), 300.0, f);
    return coil::test::sum_of(coil::turn_impedance_ohm(winding, f)).real() /
           (conductor::internal_impedance_ohm_per_m(winding.wire, f).real() * coil::wire_length_m(winding));
  };
  std::vector<Row> spaced, close;
  double mean_of_30 = 0.0, largest_of_30 = 0.0;  // errors with 30 turns on every spaced coil
  for (std::size_t i = 0; i < rows.rows.size(); ++i) {
    const double share = rows.number(i, "wire_over_pitch"), long_by = rows.number(i, "length_over_diameter");
    // Ten turns a diameter: with fewer the wire of a long coil is no longer thin against it.
    const double phi = rows.number(i, "phi"), over = computed(std::max(30.0, 10.0 * long_by), long_by, share);
    const bool is_spaced = long_by >= 0.6 && share <= 0.7;
    (is_spaced ? spaced : close).push_back({fmt::format("M{}-{}", long_by, share), phi, over});
    if (!is_spaced) continue;
    const double error = (long_by > 3.0 ? computed(30.0, long_by, share) : over) / phi - 1.0;
    mean_of_30 += error / 48.0;
    if (std::abs(error) > std::abs(largest_of_30)) largest_of_30 = error;
  }
  // As the page says, to half of the last digit.
  CHECK(std::abs(mean_of_30 + 0.032) <= 5e-4);
  CHECK(std::abs(largest_of_30 + 0.131) <= 5e-4);
  // What the page says of the tools' band.
  std::size_t within = 0, below = 0;
  for (const Row& row : spaced) {
    const double over = row.measured / row.computed;
    if (over < 1.05) ++below;
    if (over >= 1.05 && over <= 1.15) ++within;
  }
  CHECK(within == 0);
  CHECK(below == 48);
  CHECK(spaced.size() == 48);
  check("Coils, resistance, spaced", spaced);
  check("Coils, resistance, close or short", close);
}

TEST_CASE("coils: what the page says of the number of turns behind the longest one") {
  // Ten diameters long, wire over pitch 0.7: 2.27 in the table from memory.
  for (const auto& [turns, said] : {std::pair{30.0, 1.973}, std::pair{60.0, 2.205}, std::pair{100.0, 2.308}}) {
    const double d = 0.05, pitch = 10.0 * d / turns, f = 7e6;
    const coil::Winding winding =
        coil::test::with_radius_over_depth(coil::plain_winding(turns, d, pitch, 0.7 * pitch), 300.0, f);
    const double over =
        coil::test::sum_of(coil::turn_impedance_ohm(winding, f)).real() /
        (conductor::internal_impedance_ohm_per_m(winding.wire, f).real() * coil::wire_length_m(winding));
    INFO(turns << " turns");
    CHECK(std::abs(over - said) <= 5e-4);  // half of the last digit that the page has
  }
}

TEST_CASE("antennas: resonance and least SWR of measured ones") {
  std::vector<Row> found{{"V4", 2.2, resonance_mhz("V4_one_radial", 2.0e6, 2.5e6)},
                         {"V5", 2.2, resonance_mhz("V5_2_radials", 2.2e6, 2.8e6)},
                         {"V6", 2.2, resonance_mhz("V6_4_radials", 2.4e6, 3.0e6)}};
  // Thirty-two radials by X at two frequencies, between which it is straight to an ohm, in coarse cells (0.5 moves V2
  // by 0.15 %).
  for (const auto& [id, name, measured] :
       {std::tuple{"V1", "V1_32_radials", 3.3}, std::tuple{"V2", "V2_32_radials", 3.1}}) {
    const wire::WireCase c = drawn(name);
    const auto x_ohm = [&c](double f) {
      return wire::solve_antenna(c.antenna, c.ground, f, {0.3, wire::GroundMethod::rigorous, 2000}).feed_ohm.imag();
    };
    const double low = 3.2e6, high = 3.5e6, x_low = x_ohm(low), x_high = x_ohm(high);
    REQUIRE(x_low < 0.0);
    REQUIRE(x_high > 0.0);
    found.push_back({id, measured, 1e-6 * (low - x_low * (high - low) / (x_high - x_low))});
  }
  const wire::WireCase dipole = drawn("dipole_80m_2x19m_1m");
  const auto dipole_ohm = [&](double f) { return wire::solve_antenna(dipole.antenna, dipole.ground, f).feed_ohm; };
  const auto dipole_swr = [&](double f) {
    const cdouble z = dipole_ohm(f);
    const double mirror = std::abs((z - 50.0) / (z + 50.0));
    return (1.0 + mirror) / (1.0 - mirror);
  };
  double best = 100.0, at = 0.0;
  for (int n = 0; n <= 12; ++n) {
    const double f = 3.50e6 + 0.01e6 * n, swr = dipole_swr(f);
    if (swr < best) best = swr, at = f;
  }
  found.push_back({"D1", 3.673, 1e-6 * at});
  found.push_back({"D2", 1.77, best});
  found.push_back({"D3", 2.68, dipole_swr(3.503e6)});
  found.push_back({"D4", 1.79, dipole_swr(3.701e6)});
  found.push_back({"D5", 2.24, dipole_swr(3.794e6)});
  found.push_back({"D6", 325.0, (dipole_ohm(at + 5e3) - dipole_ohm(at - 5e3)).imag() / 0.01});
  // The portable set: a coil at its base that tunes the raised straight wire.
  const wire::WireCase raised = drawn("wire_5.2m_raised_whip1.5m");
  for (const auto& [band, set_hz] : {std::pair{40, 7.2e6}, std::pair{20, 13.73e6}}) {
    const double set_x = wire::solve_antenna(raised.antenna, raised.ground, set_hz).feed_ohm.imag();
    for (const auto& [id, name, measured_40, measured_20] :
         {std::tuple{"laid", "wire_5.2m_laid_whip1.5m", 7.080, 15.200},
          std::tuple{"raised-doubled", "wire_doubled_back_raised_whip1.5m", 7.200, 13.720},
          std::tuple{"laid-doubled", "wire_doubled_back_laid_whip1.5m", 7.080, 13.680}}) {
      const wire::WireCase c = drawn(name);
      const double reference_hz = set_hz, reference_x = set_x;
      const auto x = [&c, reference_hz, reference_x](double f) {
        return wire::solve_antenna(c.antenna, c.ground, f).feed_ohm.imag() - reference_x * f / reference_hz;
      };
      const Root root = find_root(x, 0.88 * set_hz, 1.15 * set_hz, {0.05, 60});
      INFO(id << " " << band);
      REQUIRE(root.status == RootStatus::found);
      found.push_back({fmt::format("P{}-{}", band, id), band == 40 ? measured_40 : measured_20, 1e-6 * root.x});
    }
  }
  check("Antennas", found, true);
}

TEST_CASE("ground: radials of 1937, a dragged wire, one radial on clay") {
  // As tests/wire draws them: test_measured.cpp and test_field.cpp there say what is assumed of each.
  using wire::test::bare;
  std::vector<Row> found;
  const double f = 3e6, wavelength = speed_of_light_m_s / f, height = 0.01;
  const double perfect =
      wire::solve_antenna(wire::test::monopole(0.25 * wavelength, 0.002, 0.1), wire::perfect_ground(), f)
          .feed_ohm.real();
  for (const auto& [radials, measured_db, wet] :
       {std::tuple{15, -2.0, false}, std::tuple{15, -2.0, true}, std::tuple{30, -1.3, false},
        std::tuple{30, -1.3, true}, std::tuple{60, -0.7, false}, std::tuple{60, -0.7, true}}) {
    const wire::Ground soil = wet ? wire::lossy_ground(20.0, 1e-2) : wire::lossy_ground(15.0, 2e-3);
    wire::Antenna a;
    a.wires.push_back(bare({{0, 0, height}, {0, 0, height + 0.25 * wavelength}}, 0.002, {}, "mast"));
    for (int i = 0; i < radials; ++i) {
      const double angle = two_pi * i / radials, reach = 0.41 * wavelength;
      a.wires.push_back(bare({{0, 0, height}, {reach * std::cos(angle), reach * std::sin(angle), height}}, 0.001));
    }
    a.feed.gap_m = 0.1;
    wire::SolveOptions options;
    options.fineness = 0.4;
    found.push_back({fmt::format("BLE{}-{}", radials, wet ? "wet" : "dry"), measured_db,
                     10.0 * std::log10(perfect / wire::solve_antenna(a, soil, f, options).feed_ohm.real()), true});
  }
  const double dragged_hz = 14.2e6, quarter = 0.25 * speed_of_light_m_s / dragged_hz;
  for (const auto& [id, soil] :
       {std::pair{"DR-dry", wire::lossy_ground(5.0, 1e-3)}, std::pair{"DR-average", wire::lossy_ground(13.0, 5e-3)}}) {
    const Root root = wire::resonant_length([](double l) { return wire::test::dipole(l, 0.0008, 0.01, 0.02, false); },
                                            soil, dragged_hz, 0.6 * quarter, 1.1 * quarter);
    REQUIRE(root.status == RootStatus::found);
    found.push_back({id, 4.267, root.x});
  }
  const double h = 0.02;
  wire::Antenna a;
  a.wires.push_back(bare({{0, 0, h}, {0, 0, h + 10.0}}, 0.004, {}, "vertical"));
  for (const double angle : {0.3, 0.3 + 0.5 * pi, 0.3 + pi, 0.3 + 1.5 * pi})
    a.wires.push_back(bare({{0, 0, h + 10.0}, {2.0 * std::cos(angle), 2.0 * std::sin(angle), h + 10.0}}, 0.001));
  a.feed.gap_m = 0.1;
  wire::Antenna ideal = a;
  for (wire::Wire& w : ideal.wires)
    for (wire::Vec3& p : w.points) p.z_m -= h;
  const double radiation = wire::solve_antenna(ideal, wire::perfect_ground(), 1.9e6).feed_ohm.real();
  a.wires.push_back(bare({{0, 0, h}, {15.2, 0, h}}, 0.001, 5.8e7, "radial"));
  for (const char* soil : {"medium dry", "average", "wet"})
    found.push_back({std::string("R1-") + soil, 78.5,
                     wire::solve_antenna(a, wire::ground_by_name(soil), 1.9e6).feed_ohm.real() - radiation});
  check("Ground", found, true);
}

TEST_CASE("networks: what another's arithmetic makes of measured loads") {
  const std::string path = std::string(STILE_TEST_DATA) + "/measured/l_network_measured_loads.csv";
  const Table rows = read_table(read_text_file(path), path);
  REQUIRE(rows.rows.size() == 24);
  std::vector<Row> found;
  for (std::size_t i = 0; i < rows.rows.size(); ++i) {
    network::Ladder ladder;
    const auto capacitor = [&](const char* column) {
      if (rows.text(i, column).empty()) return;
      network::Element e;
      e.place = network::Place::shunt;
      e.part = network::Capacitor{1e-12 * rows.number(i, column), {}};
      ladder.elements.push_back(e);
    };
    capacitor("shunt_c_source_pf");
    network::Element coil_part;
    coil_part.part = network::Inductor{1e-9 * rows.number(i, "series_l_nh"), {}, 0.0};
    ladder.elements.push_back(coil_part);
    capacitor("shunt_c_load_pf");
    const cdouble load(rows.number(i, "load_r_ohm"), rows.number(i, "load_x_ohm"));
    std::vector<network::Chain> chains;
    for (const network::Element& e : ladder.elements)
      chains.push_back(network::chain(e, 1e6 * rows.number(i, "frequency_mhz")));
    const cdouble z = network::input_impedance(chains, load);
    const cdouble author(rows.number(i, "input_r_ohm_author"), rows.number(i, "input_x_ohm_author"));
    found.push_back({fmt::format("N-{}-{}", rows.text(i, "config"), rows.number(i, "frequency_mhz")), std::abs(author),
                     std::abs(z)});
  }
  check("Networks", found);
}
