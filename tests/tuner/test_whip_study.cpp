#include <algorithm>
#include <cmath>

#include <catch2/catch.hpp>

#include <stile/tuner/whip_study.hpp>

#include <stile/base/errors.hpp>
#include <stile/match/match.hpp>
#include <stile/wire/closed_forms.hpp>
#include <stile/wire/conditions.hpp>
#include <stile/wire/solve.hpp>

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

TEST_CASE("the base coil's loss is that of the table and what its step to the transmitter takes") {
  // Derived table: Q, X, R_ground, R_rad, loss in the coil alone.
  const double rows[][5] = {
      {200, 1054.9, 10, 1.275, 1.667}, {50, 2119.7, 30, 0.3371, 3.797}, {300, 454.0, 10, 5.102, 0.4148}};
  const double length[] = {2.4}, frequency[] = {7.1e6};
  for (const auto& row : rows) {
    const auto whip = [&](double, double) { return WhipFeed{{row[2] + row[3], -row[1]}, 0.3}; };
    const auto coil_db = [&](double capacitor_q) {
      return study_whip(six_and_six(), 50.0, whip, length, frequency, 2.0, {row[0], capacitor_q}).cells[0];
    };
    const WhipStudyCell real = coil_db(1000.0);
    CHECK(std::abs(10.0 * std::log10(1.0 + row[1] / (row[0] * (row[2] + row[3]))) - row[4]) <= 5e-4);
    CHECK(real.coil_db >= coil_db(1e9).coil_db);
    CHECK(real.radiated == 0.3);
    // A second route: the parts found, evaluated by hand, match and lose as much.
    match::MatchRequest request;
    request.frequency_hz = 7.1e6;
    request.load = {"whip", "", load::ConstantLoad{real.z_ohm}, {}};
    request.stock.inductor_loss.q = row[0];
    request.stock.capacitor_loss.q = 1000.0;
    const auto all = match::solve_match(request);
    const double matched_db = network::evaluate(all.front().ladder, {50.0, 1.0}, 7.1e6, real.z_ohm).loss.transducer_db;
    const double r = row[2] + row[3] + row[1] / row[0], mirror = (r - 50.0) / (r + 50.0);
    const double alone_db = row[4] - 10.0 * std::log10(1.0 - mirror * mirror);
    CHECK(std::abs(std::min(matched_db, alone_db) - real.coil_db) <= 5e-4);  // the table's digits
    for (const match::MatchSolution& s : all) CHECK(s.evaluation.loss.transducer_db >= real.coil_db - 1e-8);
    if (matched_db < alone_db) {
      CHECK(std::abs(matched_db - real.coil_db) <= 1e-8);
      CHECK(real.coil_match == match::describe(all.front().ladder));
      // Coils of one Q lose what the whip's reactance asks, however they are arranged: the step is free.
      CHECK(std::abs(matched_db - row[4]) <= 5e-4);
    } else {
      CHECK(real.coil_match == "series inductor 47.52 uH");
    }
  }
  // A whip beyond its resonance needs capacitors, whose Q then counts.
  const auto beyond = [](double, double) { return WhipFeed{{10.0, 200.0}, 1.0}; };
  const auto loss_db = [&](double capacitor_q) {
    return study_whip(six_and_six(), 50.0, beyond, length, frequency, 2.0, {200.0, capacitor_q}).cells[0].coil_db;
  };
  CHECK(loss_db(100.0) > loss_db(1000.0) + 0.1);
  // A coil whose own resistance is far above the transmitter's is left alone: 100 + 5000/10 ohm.
  const auto tiny = [](double, double) { return WhipFeed{{100.0, -5000.0}, 1.0}; };
  const WhipStudyCell alone = study_whip(six_and_six(), 50.0, tiny, length, frequency, 2.0, {10.0}).cells[0];
  const double dissipated = 10.0 * std::log10(6.0), reflected = -10.0 * std::log10(1.0 - std::pow(550.0 / 650.0, 2));
  CHECK(alone.coil_db <= dissipated + reflected + 1e-9);
  CHECK(alone.coil_db < 20.0);
}

TEST_CASE("cells hold the tuner's state of most delivered power") {
  const Tuner t = six_and_six();
  const double lengths[] = {1.0, 3.0, 6.0}, frequencies[] = {5.36e6, 14.2e6};
  const WhipStudy study = study_whip(t, 50.0,
                                     [](double h, double f) {
                                       return WhipFeed{wire::short_monopole_ohm(h, 2e-3, f) + 20.0, 1.0};
                                     },
                                     lengths, frequencies, 2.0, {});
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
  const auto load = [](double h, double f) { return WhipFeed{wire::short_monopole_ohm(h, 2e-3, f) + 20.0, 1.0}; };
  const WhipStudy good = study_whip(t, 50.0, load, lengths, frequencies, 2.0, {300.0});
  CHECK(good.break_even[0].coil_wins_shortest);
  const WhipStudy poor = study_whip(t, 50.0, load, lengths, frequencies, 2.0, {10.0});
  for (std::size_t n = 0; n < 2; ++n) {
    const BreakEven& even = poor.break_even[n];
    if (!even.length_m) continue;
    for (std::size_t k = 0; k < lengths.size(); ++k) {
      const WhipStudyCell& cell = poor.cells[n * lengths.size() + k];
      if (cell.length_m < *even.length_m) CHECK(cell.coil_db < cell.tuner_transducer_db);
    }
  }
  CHECK(poor.break_even[0].length_m.has_value());
  // Between two lengths it is where the straight lines of both losses cross, worked out from the cells.
  bool between = false;
  for (std::size_t n = 0; n < 2; ++n) {
    if (!poor.break_even[n].length_m) continue;
    const double length_m = *poor.break_even[n].length_m;
    for (std::size_t k = 1; k < lengths.size(); ++k) {
      const WhipStudyCell &a = poor.cells[n * lengths.size() + k - 1], &b = poor.cells[n * lengths.size() + k];
      if (length_m <= a.length_m || length_m > b.length_m) continue;
      const double part = (length_m - a.length_m) / (b.length_m - a.length_m);
      const double coil_db = a.coil_db + part * (b.coil_db - a.coil_db),
                   tuner_db = a.tuner_transducer_db + part * (b.tuner_transducer_db - a.tuner_transducer_db);
      CHECK(coil_db == Approx(tuner_db).margin(1e-9));
      between = true;
    }
  }
  CHECK(between);
  // 0.1 of it radiated is 10 dB below all of it.
  WhipStudyCell cell;
  cell.radiated = 0.1;
  CHECK(cell.antenna_db() == Approx(10.0).epsilon(1e-12));
  CHECK_THROWS_AS(study_whip(t, 50.0, load, lengths, frequencies, 2.0, {0.0}), DomainError);
  CHECK_THROWS_AS(study_whip(t, 50.0, load, {}, frequencies, 2.0, {100.0}), DomainError);
}

TEST_CASE("a study of short whips solves each over its ground, with wire, set and person") {
  WhipQuestion q;
  q.band_hz.low = 5e6;
  q.band_hz.high = 28e6;
  q.lengths_m.low = 1.0;
  q.lengths_m.high = 6.0;
  q.lengths = 5;
  q.frequencies = 3;
  std::vector<std::string> lines;
  const ShortWhipStudy all =
      study_short_whips(six_and_six(), 50.0, q, 2.0, [&](const std::string& line) { lines.push_back(line); });
  REQUIRE(all.length_m.size() == 5);
  CHECK(all.length_m.front() == 1.0);
  CHECK(all.length_m.back() == 6.0);
  CHECK(all.frequency_hz.back() == 28e6);
  CHECK(lines.size() == 3);
  CHECK(lines[0] == "whip study, 5 MHz");
  REQUIRE(all.study.cells.size() == 15);
  CHECK(all.study.break_even.size() == 3);
  for (const std::size_t n : {0U, 7U, 14U}) {  // drawn by hand
    const WhipStudyCell& cell = all.study.cells[n];
    wire::WhipSet whip;
    whip.whip_length_m = cell.length_m;
    whip.whip_radius_m = 3e-3;
    whip.base_height_m = 1.2;
    whip.wires = {wire::TrailingWire{"counterpoise", 5.0, 0.5e-3, 5.8e7, {}, 0.1, 1.2}};
    whip.gap_m = 0.02;
    whip.base_capacitance_f = 5e-12;
    whip.base_leakage_ohm = 1e6;
    whip.ground = wire::lossy_ground(15.0, 1e-3);
    whip.set = wire::SetBody{};
    whip.person = wire::PersonBody{};
    const wire::WireCase c = wire::whip_condition(whip, wire::WhipCondition::trailing_usual);
    const wire::AntennaSolution s = wire::solve_antenna(c.antenna, c.ground, cell.frequency_hz);
    CHECK(std::abs(cell.z_ohm - s.feed_ohm) <= 1e-9 * std::abs(s.feed_ohm));
    CHECK(std::abs(cell.radiated - s.share.radiated) <= 1e-9);
  }
  const ShortWhipStudy one = study_short_whips(six_and_six(), 50.0, q, 2.0, {}, 1);
  for (std::size_t n = 0; n < 15; ++n) CHECK(one.study.cells[n].z_ohm == all.study.cells[n].z_ohm);
  q.carried = false;
  CHECK(study_short_whips(six_and_six(), 50.0, q, 2.0).study.cells[0].z_ohm != all.study.cells[0].z_ohm);
  q.lengths_m.low = 0.0299;  // 10 times the radius of 3 mm is the least
  CHECK_THROWS_AS(study_short_whips(six_and_six(), 50.0, q, 2.0), DomainError);
  q = {};
  q.ground = wire::perfect_ground();
  CHECK_THROWS_AS(study_short_whips(six_and_six(), 50.0, q, 2.0), DomainError);
}
