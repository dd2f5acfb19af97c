#include <cmath>

#include <catch2/catch.hpp>

#include <stile/tuner/whip_study.hpp>

#include <stile/base/constants.hpp>
#include <stile/base/errors.hpp>
#include <stile/wire/closed_forms.hpp>

using namespace stile;
using namespace stile::tuner;

namespace {

/// An L with six inductors and six capacitors in steps of two.
Tuner six_and_six() {
  Tuner t;
  t.contact_ohm = 0.05;
  t.inductors.loss.q = 120;
  t.inductors.stray_h = 0.1e-6;
  t.capacitors.loss.q = 1000;
  t.capacitors.stray_f = 15e-12;
  for (int n = 0; n < 6; ++n) {
    t.inductors.values_h.push_back(0.2e-6 * (1 << n));
    t.capacitors.values_f.push_back(40e-12 * (1 << n));
  }
  return t;
}

}  // namespace

TEST_CASE("the radiation resistance of a short whip is that of the table of base coils") {
  // R_rad of a 2.4 m and a 6 m whip by the same formula, printed to four digits (derived table of base-coil losses).
  CHECK(std::abs(wire::short_monopole_ohm(2.4, 1e-3, 7.1e6).real() - 1.275) <= 5e-4);
  CHECK(std::abs(wire::short_monopole_ohm(2.4, 1e-3, 14.2e6).real() - 5.102) <= 5e-4);
  CHECK(std::abs(wire::short_monopole_ohm(6.0, 1e-3, 3.65e6).real() - 2.107) <= 5e-4);
  CHECK(wire::short_monopole_ohm(2.4, 1e-3, 7.1e6).imag() < -700.0);
  CHECK(wire::short_monopole_ohm(2.4, 1e-3, 40e6).imag() > 0.0);            // past the quarter wave
  CHECK_THROWS_AS(wire::short_monopole_ohm(6.0, 1e-3, 30e6), DomainError);  // past the half wave
  CHECK_THROWS_AS(wire::short_monopole_ohm(2.4, 0.25, 7e6), DomainError);
  CHECK_THROWS_AS(wire::short_monopole_ohm(0.0, 1e-3, 7e6), DomainError);
}

TEST_CASE("the base coil's loss is that of the table") {
  // Derived table: Q, X, R_ground, R_rad, loss in the coil.
  const double rows[][5] = {
      {200, 1054.9, 10, 1.275, 1.667}, {50, 2119.7, 30, 0.3371, 3.797}, {300, 454.0, 10, 5.102, 0.4148}};
  const double length[] = {2.4}, frequency[] = {7.1e6};
  for (const auto& row : rows) {
    const WhipStudy study = study_whip(
        six_and_six(), 50.0,
        [&](double, double) {
          return cdouble{row[2] + row[3], -row[1]};
        },
        length, frequency, 2.0, row[0]);
    CHECK(std::abs(study.cells[0].coil_db - row[4]) <= 5e-4);
  }
}

TEST_CASE("cells hold the tuner's state of most delivered power") {
  const Tuner t = six_and_six();
  const double lengths[] = {1.0, 3.0, 6.0}, frequencies[] = {5.36e6, 14.2e6};
  const WhipStudy study = study_whip(
      t, 50.0, [](double h, double f) { return wire::short_monopole_ohm(h, 2e-3, f) + 20.0; }, lengths, frequencies,
      2.0, 200.0);
  REQUIRE(study.cells.size() == 6);
  REQUIRE(study.break_even.size() == 2);
  for (const WhipStudyCell& cell : study.cells) {
    const TunerChoice choice = choose_state(t, tabulate(t, cell.frequency_hz), 50.0, cell.z_ohm, 2.0);
    const network::Evaluation e = network::evaluate(network::Ladder{tuner_elements(t, choice.most_delivered.state)},
                                                    {50.0, 1.0}, cell.frequency_hz, cell.z_ohm);
    CHECK(std::abs(cell.tuner_dissipation_db - e.loss.dissipation_db) <= 1e-9);
    CHECK(std::abs(cell.tuner_transducer_db - e.loss.transducer_db) <= 1e-9);
    CHECK((cell.status == TunerStatus::found) == (cell.swr <= 2.0));
  }
  CHECK(study.cells[3].frequency_hz == 14.2e6);
  CHECK(study.cells[4].length_m == 3.0);
}

TEST_CASE("the coil wins below the length of break-even and the tuner above it") {
  // A whip whose reactance falls with its length: the tuner, whose coil has the lower Q, loses more while the coils
  // are large; long whips need no coil but the tuner's steps and contacts stay.
  const Tuner t = six_and_six();
  std::vector<double> lengths;
  for (int n = 1; n <= 20; ++n) lengths.push_back(0.5 * n);
  const double frequencies[] = {3.65e6, 14.2e6};
  const auto load = [](double h, double f) { return wire::short_monopole_ohm(h, 2e-3, f) + 20.0; };
  const WhipStudy good = study_whip(t, 50.0, load, lengths, frequencies, 2.0, 300.0);
  CHECK(good.break_even[0].coil_wins_shortest);
  const WhipStudy poor = study_whip(t, 50.0, load, lengths, frequencies, 2.0, 10.0);
  for (std::size_t n = 0; n < 2; ++n) {
    const BreakEven& even = poor.break_even[n];
    if (!even.length_m) continue;
    for (std::size_t k = 0; k < lengths.size(); ++k) {
      const WhipStudyCell& cell = poor.cells[n * lengths.size() + k];
      if (cell.length_m < *even.length_m) CHECK(cell.coil_db < cell.tuner_transducer_db);
    }
  }
  CHECK(poor.break_even[0].length_m.has_value());
  CHECK_THROWS_AS(study_whip(t, 50.0, load, lengths, frequencies, 2.0, 0.0), DomainError);
  CHECK_THROWS_AS(study_whip(t, 50.0, load, {}, frequencies, 2.0, 100.0), DomainError);
}

TEST_CASE("a study of short whips keeps to a quarter wave and has ground in series") {
  WhipQuestion q;
  q.band_hz.low = 5e6;
  q.band_hz.high = 28e6;
  q.lengths = 9;
  q.frequencies = 4;
  std::vector<std::string> lines;
  const ShortWhipStudy all =
      study_short_whips(six_and_six(), 50.0, q, 2.0, [&](const std::string& line) { lines.push_back(line); });
  REQUIRE(all.length_m.size() == 9);
  CHECK(all.length_m.front() == 0.5);
  CHECK(all.length_m.back() == 10.0);
  CHECK(all.frequency_hz.back() == 28e6);
  CHECK(lines.size() == 4);
  CHECK(lines[0] == "whip study, 5 MHz");
  CHECK(all.study.cells.size() < 36);
  CHECK(all.study.break_even.size() == 4);
  for (const WhipStudyCell& cell : all.study.cells) {
    CHECK(4.0 * cell.length_m * cell.frequency_hz <= speed_of_light_m_s);
    CHECK(cell.z_ohm == wire::short_monopole_ohm(cell.length_m, 3e-3, cell.frequency_hz) + 10.0);
  }
  q.lengths_m.low = 90.0;
  q.lengths_m.high = 100.0;
  CHECK_THROWS_AS(study_short_whips(six_and_six(), 50.0, q, 2.0), DomainError);
  q.lengths_m.low = 0.02;
  CHECK_THROWS_AS(study_short_whips(six_and_six(), 50.0, q, 2.0), DomainError);
}
