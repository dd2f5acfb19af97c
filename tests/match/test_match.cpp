// Solutions of L, pi and T: published values, completeness, losses inside the solution.
#include <catch2/catch.hpp>

#include <cmath>
#include <random>

#include <stile/base/constants.hpp>
#include <stile/match/match.hpp>

using namespace stile;
using namespace stile::match;

namespace {

load::Load constant(cdouble z) { return {"load", "test", load::ConstantLoad{z}, {}}; }

MatchRequest request(Form form, double f, cdouble source, cdouble load) {
  MatchRequest r;
  r.form = form;
  r.frequency_hz = f;
  r.source = {source, 1.0};
  r.load = constant(load);
  return r;
}

/// A stock without losses and without limits that matter.
PartStock lossless() {
  PartStock stock;
  stock.least_inductance_h = 1e-15, stock.most_inductance_h = 1.0;
  stock.least_capacitance_f = 1e-18, stock.most_capacitance_f = 1e-3;
  return stock;
}

struct Wanted {
  network::Place place;
  char kind;     // 'L' or 'C'
  double value;  // SI
};

bool equal(const network::Element& element, const Wanted& wanted, double relative) {
  const bool coil = std::holds_alternative<network::Inductor>(element.part);
  return element.place == wanted.place && coil == (wanted.kind == 'L') &&
         std::abs(network::value_si(element.part) / wanted.value - 1.0) <= relative;
}

/// Whether one of the solutions has these parts.
bool contains(const std::vector<MatchSolution>& solutions, const std::vector<Wanted>& wanted, double relative) {
  for (const MatchSolution& s : solutions) {
    bool same = s.ladder.elements.size() == wanted.size();
    for (std::size_t n = 0; same && n < wanted.size(); ++n) same = equal(s.ladder.elements[n], wanted[n], relative);
    if (same) return true;
  }
  return false;
}

void check_matched(const std::vector<MatchSolution>& solutions) {
  for (const MatchSolution& s : solutions) {
    INFO(describe(s.ladder));
    CHECK(std::abs(s.evaluation.reflection) <= 1e-9);
    CHECK(s.status != MatchStatus::not_run);
  }
}

constexpr network::Place series = network::Place::series, shunt = network::Place::shunt;

}  // namespace

// Values: the exact ones of tests/data/network/worked_networks.tsv, whose printed digits the network room checks.
TEST_CASE("L solutions of published examples") {
  struct Example {
    const char* source;
    double f;
    cdouble zs, zl;
    std::vector<Wanted> parts;
  };
  const std::vector<Example> examples = {
      {"Pozar, Microwave Engineering, example L-section matching, solution 1",
       500e6,
       100.0,
       {200.0, -100.0},
       {{series, 'L', 3.898484006168381e-8}, {shunt, 'C', 9.227738300997709e-13}}},
      {"Pozar, the same, solution 2",
       500e6,
       100.0,
       {200.0, -100.0},
       {{series, 'C', 2.598989337445587e-12}, {shunt, 'L', 4.613869150498854e-8}}},
      {"Misra, Radio-Frequency and Microwave Communication Circuits, example 6.6, high-pass",
       400e6,
       50.0,
       600.0,
       {{series, 'C', 2.399351044391741e-12}, {shunt, 'L', 7.198053133175222e-8}}},
      {"Misra, example 6.6, low-pass",
       400e6,
       50.0,
       600.0,
       {{series, 'L', 6.598215372077287e-8}, {shunt, 'C', 2.199405124025762e-12}}},
      {"Misra, example 6.8 p.213, low-pass",
       500e6,
       50.0,
       {10.0, 10.0},
       {{shunt, 'C', 1.273239544735163e-11}, {series, 'L', 3.183098861837907e-9}}},
      {"Misra, example 6.8 p.213, high-pass",
       500e6,
       50.0,
       {10.0, 10.0},
       {{shunt, 'L', 7.957747154594767e-9}, {series, 'C', 1.061032953945969e-11}}},
      {"Misra, example 6.9 p.215, series C with shunt L",
       1e9,
       50.0,
       {38.46153846153846, 57.69230769230769},
       {{shunt, 'L', 1.452879207831368e-8}, {series, 'C', 2.020795495572812e-12}}},
      {"Misra, example 6.9 p.215, two capacitors",
       1e9,
       50.0,
       {38.46153846153846, 57.69230769230769},
       {{shunt, 'C', 1.743455049397642e-12}, {series, 'C', 4.345402228103001e-12}}},
      {"Taub and Schilling, Principles of Communication Systems, example 3.7 p.185 (reactances)",
       500e3,
       10.0,
       50.0,
       {{series, 'L', 6.366197723675813e-6}, {shunt, 'C', 1.273239544735163e-8}}},
      {"Bowick, RF Circuit Design, example 4-1 (from memory)",
       100e6,
       100.0,
       1000.0,
       {{series, 'L', 4.77464829275686e-7}, {shunt, 'C', 4.77464829275686e-12}}},
      {"Bowick, example 4-2 (from memory): complex source and load",
       100e6,
       {100.0, 126.0},
       {387.7266367391514, -487.2316614323186},
       {{series, 'L', 2.769296009798979e-7}, {shunt, 'C', 2.77464829275686e-12}}},
      {"Bowick, example 4-3 (from memory)",
       75e6,
       50.0,
       {4.654407416421081, -52.64010772647234},
       {{series, 'C', 1.279653890342262e-11}, {shunt, 'L', 8.705102902940038e-8}}},
  };
  for (const Example& e : examples) {
    INFO(e.source);
    MatchRequest r = request(Form::l, e.f, e.zs, e.zl);
    r.stock = lossless();
    const auto solutions = solve_match(r);
    check_matched(solutions);
    CHECK(contains(solutions, e.parts, 1e-9));
  }
}

TEST_CASE("a T with a stated Q at the transmitter's end") {
  // Bowick, RF Circuit Design, example 4-5 (from memory): 10 ohm to 50 ohm, Q 10 at the source: 100, -70.228, 219.089
  // ohm.
  const double f = 10e6, w = two_pi * f;
  MatchRequest r = request(Form::t, f, 10.0, 50.0);
  r.stock = lossless();
  r.freedom = Freedom::end_q;
  r.freedom_value = 10.0;
  const auto solutions = solve_match(r);
  check_matched(solutions);
  CHECK(contains(
      solutions,
      {{series, 'L', 100.0 / w}, {shunt, 'C', 1.0 / (w * 70.22774424948339)}, {series, 'L', 219.0890230020664 / w}},
      1e-9));
  for (const MatchSolution& s : solutions) CHECK(std::abs(s.end_q - 10.0) <= 1e-9);
}

TEST_CASE("T networks matched with their losses inside the solution") {
  // TM1, TM3, TM4 of the derived lossy networks (tests/data/network/lossy_vectors.csv): nodal equations at 40 digits.
  struct Case {
    double f;
    cdouble load;
    double c1, l, ql, c2, loss_db;
  };
  for (const Case& c :
       {Case{1.85e6, 10.0, 1.62915211784176946e-10, 0.0000160491071038080743, 100, 300e-12, 1.653582051130786},
        Case{3.6e6, {10.0, -200.0}, 5.446940595868631e-11, 0.0000122762781311490333, 200, 200e-12, 1.275362065127507},
        Case{7.1e6, 1000.0, 1.02993534165075781e-10, 4.96868240396198019e-6, 200, 150e-12, 0.108807958499382}}) {
    MatchRequest r = request(Form::t, c.f, 50.0, c.load);
    r.stock = lossless();
    r.stock.inductor_loss.q = c.ql;
    r.stock.capacitor_loss.q = 2000.0;
    r.freedom = Freedom::end_q;
    r.freedom_value = 1.0 / (two_pi * c.f * c.c1) / 50.0;
    const auto solutions = solve_match(r);
    check_matched(solutions);
    REQUIRE(contains(solutions, {{series, 'C', c.c1}, {shunt, 'L', c.l}, {series, 'C', c.c2}}, 1e-8));
    for (const MatchSolution& s : solutions) {
      if (equal(s.ladder.elements[2], {series, 'C', c.c2}, 1e-8)) {
        CHECK(std::abs(s.evaluation.loss.dissipation_db - c.loss_db) <= 1e-8);
      }
    }
  }
}

namespace {

/// Random matched networks made backwards: parts first, then the load that they match.
struct Backwards {
  std::mt19937_64 random{20261};
  double uniform(double low, double high) {
    return low + (high - low) * std::ldexp(static_cast<double>(random() >> 11), -53);
  }
  double log_uniform(double low, double high) { return low * std::pow(high / low, uniform(0.0, 1.0)); }

  PartStock stock() {
    PartStock s = lossless();
    s.inductor_loss = {log_uniform(30.0, 500.0), uniform(0.0, 1.0) < 0.3 ? 7e6 : 0.0,
                       uniform(0.0, 1.0) < 0.5 ? uniform(0.0, 0.3) : 0.0, 0.0};
    s.capacitor_loss = {log_uniform(300.0, 3000.0), 0.0, uniform(0.0, 1.0) < 0.5 ? uniform(0.0, 0.1) : 0.0,
                        uniform(0.0, 1.0) < 0.5 ? uniform(0.0, 0.002) : 0.0};
    if (uniform(0.0, 1.0) < 0.4) s.inductor_self_capacitance_f = uniform(0.2e-12, 2e-12);
    return s;
  }

  network::Element element(network::Place place, double f, const PartStock& s) {
    const double t = log_uniform(8.0, 800.0), w = two_pi * f;
    if (uniform(0.0, 1.0) < 0.5)
      return {"", place, network::Inductor{t / w, s.inductor_loss, s.inductor_self_capacitance_f}, {}};
    return {"", place, network::Capacitor{1.0 / (w * t), s.capacitor_loss}, {}};
  }
};

/// The load for which `ladder` shows the conjugate of z_source, from the chain matrices: Z = (B - D Zt)/(C Zt - A).
cdouble load_for(const network::Ladder& ladder, double f, cdouble z_source) {
  network::Chain all;
  for (const network::Element& e : ladder.elements) all = network::cascade(all, network::chain(e, f));
  const cdouble zt = std::conj(z_source);
  return (all.b - all.d * zt) / (all.c * zt - all.a);
}

std::vector<Wanted> parts_of(const network::Ladder& ladder) {
  std::vector<Wanted> parts;
  for (const network::Element& e : ladder.elements) {
    parts.push_back(
        {e.place, std::holds_alternative<network::Inductor>(e.part) ? 'L' : 'C', network::value_si(e.part)});
  }
  return parts;
}

}  // namespace

TEST_CASE("every L that matches is found") {
  Backwards make;
  int tried = 0;
  for (int n = 0; n < 3000; ++n) {
    const double f = make.log_uniform(1.8e6, 30e6);
    const PartStock stock = make.stock();
    const bool series_first = make.uniform(0.0, 1.0) < 0.5;
    const network::Ladder ladder{
        {make.element(series_first ? series : shunt, f, stock), make.element(series_first ? shunt : series, f, stock)}};
    const cdouble zs{make.log_uniform(10.0, 200.0), make.uniform(-50.0, 50.0)}, zl = load_for(ladder, f, zs);
    if (!(zl.real() > 1e-3 * std::abs(zl))) continue;  // no passive load, or one that no rounding survives
    ++tried;
    MatchRequest r = request(Form::l, f, zs, zl);
    r.stock = stock;
    const auto solutions = solve_match(r);
    INFO("case " << n << ": " << describe(ladder) << " load " << print_impedance(zl));
    check_matched(solutions);
    CHECK(contains(solutions, parts_of(ladder), 1e-6));
  }
  CHECK(tried > 800);
}

TEST_CASE("every pi and T with the stated end Q, loaded Q or phase is found") {
  Backwards make;
  int tried = 0;
  for (int n = 0; n < 200; ++n) {
    const double f = make.log_uniform(1.8e6, 30e6);
    PartStock stock = make.stock();
    stock.inductor_self_capacitance_f = 0.0;
    stock.least_inductance_h = 1e-9, stock.most_inductance_h = 1e-3;
    stock.least_capacitance_f = 0.5e-12, stock.most_capacitance_f = 50e-9;
    const Form form = make.uniform(0.0, 1.0) < 0.5 ? Form::pi_network : Form::t;
    const network::Place outer = form == Form::pi_network ? shunt : series,
                         inner = form == Form::pi_network ? series : shunt;
    const network::Ladder ladder{
        {make.element(outer, f, stock), make.element(inner, f, stock), make.element(outer, f, stock)}};
    const cdouble zs = 50.0, zl = load_for(ladder, f, zs);
    if (!(zl.real() > 0.02 * std::abs(zl))) continue;
    ++tried;
    MatchRequest r = request(form, f, zs, zl);
    r.stock = stock;
    const network::Evaluation e = network::evaluate(ladder, r.source, f, zl);
    INFO("case " << n << ": " << describe(ladder) << " load " << print_impedance(zl));
    REQUIRE(std::abs(e.reflection) < 1e-9);

    const auto kind = [&](std::size_t k) { return ladder.elements[k].part.index(); };
    const bool one_kind =
        kind(0) == kind(1) && kind(1) == kind(2);  // then the load alone stores the other energy: Q is no choice
    r.freedom = Freedom::loaded_q;
    r.freedom_value = e.loaded_q;
    const auto by_q = solve_match(r);
    check_matched(by_q);
    for (const MatchSolution& s : by_q) CHECK(std::abs(s.evaluation.loaded_q / e.loaded_q - 1.0) <= 1e-6);
    CHECK((one_kind || contains(by_q, parts_of(ladder),
                                1e-3)));  // Q can be flat in the parts, so they are less sharp than Q itself

    r.freedom = Freedom::phase;
    r.freedom_value = std::arg(e.load_current_a) * 180.0 / pi;
    const auto by_phase = solve_match(r);
    check_matched(by_phase);
    for (const MatchSolution& s : by_phase)
      CHECK(std::abs(std::remainder(s.phase_deg - r.freedom_value, 360.0)) <= 1e-6);
    CHECK(contains(by_phase, parts_of(ladder), 1e-3));
  }
  CHECK(tried > 30);
}

TEST_CASE("the member of least loss loses least") {
  // Against members of the same kind found through another door: many stated end Qs.
  Backwards make;
  for (int n = 0; n < 12; ++n) {
    const Form form = n % 2 == 0 ? Form::pi_network : Form::t;
    MatchRequest r =
        request(form, make.log_uniform(3e6, 15e6), 50.0, {make.log_uniform(5.0, 500.0), make.uniform(-300.0, 300.0)});
    r.stock.inductor_loss.q = 150.0;
    r.stock.capacitor_loss.q = 1000.0;
    const auto best = solve_match(r);
    REQUIRE(!best.empty());
    check_matched(best);
    double least = network::infinite;
    r.freedom = Freedom::end_q;
    for (double q = 0.05; q < 60.0; q *= 1.05) {
      r.freedom_value = q;
      const auto members = solve_match(r);
      if (!members.empty()) least = std::min(least, members.front().evaluation.loss.dissipation_db);
    }
    INFO("case " << n);
    CHECK(best.front().evaluation.loss.dissipation_db <= least + 1e-6);
  }
}

TEST_CASE("a least loss at a part's limit is marked") {
  // 50 ohm to 50 ohm by a T: the less network the better, so the capacitors go to the largest there is.
  MatchRequest r = request(Form::t, 7.1e6, 50.0, 40.0);
  r.stock.inductor_loss.q = 100.0;
  const auto solutions = solve_match(r);
  REQUIRE(!solutions.empty());
  CHECK(solutions.front().status == MatchStatus::at_limit);
  // Which limit it is: one part stands at it, within a thousandth, and with other limits at those.
  for (const double most_f : {20e-9, 5e-9}) {
    r.stock.most_capacitance_f = most_f;
    const auto limited = solve_match(r);
    REQUIRE(!limited.empty());
    for (const MatchSolution& s : limited) {
      bool at = false;
      for (const network::Element& e : s.ladder.elements) {
        const bool coil = std::holds_alternative<network::Inductor>(e.part);
        const double value = network::value_si(e.part), low = coil ? 10e-9 : 2e-12, high = coil ? 200e-6 : most_f;
        at = at || value < low * 1.00101 || value > high / 1.00101;
      }
      INFO(describe(s.ladder));
      CHECK((s.status == MatchStatus::at_limit) == at);
    }
  }
}

TEST_CASE("losses can exclude a match") {
  // 1 ohm with -j2000: a coil of Q 30 has 66 ohm of its own, so the input cannot be brought down to 50 ohm by a
  // series coil alone, and no load-side shunt part helps.
  MatchRequest r = request(Form::l, 3.65e6, 50.0, {1.0, -2000.0});
  r.stock.inductor_loss.q = 30.0;
  for (const MatchSolution& s : solve_match(r)) {
    INFO(describe(s.ladder));
    CHECK(
        !(s.ladder.elements[0].place == shunt && std::holds_alternative<network::Inductor>(s.ladder.elements[1].part)));
  }
  r.load = constant({0.0, -2000.0});
  CHECK(solve_match(r).empty());
}

TEST_CASE("bandwidth of a series resonant load straight at the source") {
  // Series RLC, Q 100 at 7.1 MHz: fractional bandwidth at SWR s is (s-1)/(Q sqrt s), 0.00707107 at 2
  // (Yaghjian and Best, IEEE Trans. AP-53(4), 2005, formula second-hand; exact for this load).
  const double f = 7.1e6, w = two_pi * f;
  load::WhipModel whip;
  whip.radiation_at_hz = f;
  whip.ground_ohm = 50.0;
  whip.inductance_h = 100.0 * 50.0 / w;
  whip.capacitance_f = 1.0 / (w * 100.0 * 50.0);
  const Bandwidth band = swr_bandwidth({}, {50.0, 1.0}, {"rlc", "test", whip, {}}, f, 2.0);
  CHECK(std::abs(band.width_hz() / f - 1.0 / (100.0 * std::sqrt(2.0))) <= 1e-9);
  CHECK(std::abs(std::sqrt(band.low_hz * band.high_hz) / f - 1.0) <= 1e-9);
  CHECK(!band.low_is_data_edge);
  CHECK(!band.high_is_data_edge);
  const Bandwidth none = swr_bandwidth({}, {50.0, 1.0}, constant(200.0), f, 2.0);
  CHECK(none.width_hz() == 0.0);
}

TEST_CASE("a band is searched from a fifth to five times its frequency") {
  // A load that is always matched: the steps end between 4.5 and 5 times the frequency, and by the same factor below.
  const Bandwidth all = swr_bandwidth({}, {50.0, 1.0}, constant(50.0), 7.1e6, 2.0);
  CHECK(all.high_hz > 4.5 * 7.1e6);
  CHECK(all.high_hz <= 5.0 * 7.1e6);
  CHECK(all.low_hz < 7.1e6 / 4.5);
  CHECK(all.low_hz >= 7.1e6 / 5.0);
  CHECK_FALSE(all.low_is_data_edge);
  CHECK_FALSE(all.high_is_data_edge);
}

TEST_CASE("a solution's bandwidth is that of the limit asked for") {
  MatchRequest r = request(Form::l, 7.1e6, 50.0, {20.0, -300.0});
  double before_hz = 0.0;
  for (const double limit : {1.2, 1.5, 2.0, 3.0}) {
    r.swr_limit = limit;
    const auto solutions = solve_match(r);
    REQUIRE(!solutions.empty());
    for (const MatchSolution& s : solutions) {
      const auto swr = [&](double f) { return network::evaluate(s.ladder, r.source, f, {20.0, -300.0}).swr; };
      INFO(describe(s.ladder) << ", SWR " << limit);
      CHECK(std::abs(swr(s.bandwidth.low_hz) - limit) <= 1e-6);
      CHECK(std::abs(swr(s.bandwidth.high_hz) - limit) <= 1e-6);
    }
    CHECK(solutions.front().bandwidth.width_hz() > before_hz);
    before_hz = solutions.front().bandwidth.width_hz();
  }
}

TEST_CASE("of equal loss and loaded Q the least inductance goes first") {
  // 50 into 200 ohm without losses: a low-pass and a high-pass L of one Q. By hand: Q of the L sqrt(200/50 - 1)
  // = 1.732, in series 86.60 ohm, across 115.47 ohm: coils of 1.941 uH in series or 2.588 uH across.
  const auto solutions = solve_match(request(Form::l, 7.1e6, 50.0, 200.0));
  REQUIRE(solutions.size() == 2);
  CHECK(std::abs(solutions[0].evaluation.loaded_q - solutions[1].evaluation.loaded_q) <= 1e-9);
  CHECK(describe(solutions[0].ladder) == "series inductor 1.941 uH, shunt capacitor 194.1 pF");
  CHECK(describe(solutions[1].ladder) == "series capacitor 258.8 pF, shunt inductor 2.588 uH");
}

TEST_CASE("bandwidth ends where the data end") {
  const load::Load load{"flat", "test", load::make_sampled_load({7.0e6, 7.1e6, 7.2e6}, {50.0, 50.0, 50.0}), {}};
  const Bandwidth band = swr_bandwidth({}, {50.0, 1.0}, load, 7.05e6, 2.0);
  CHECK(band.low_hz == 7.0e6);
  CHECK(band.high_hz == 7.2e6);
  CHECK(band.low_is_data_edge);
  CHECK(band.high_is_data_edge);
}

TEST_CASE("sensitivity is the SWR with a part one percent off") {
  MatchRequest r = request(Form::l, 7.1e6, 50.0, {20.0, -300.0});
  r.stock.inductor_loss.q = 200.0;
  for (const MatchSolution& s : solve_match(r)) {
    REQUIRE(s.swr_at_one_percent.size() == 2);
    for (std::size_t n = 0; n < 2; ++n) {
      network::Ladder up = s.ladder, down = s.ladder;
      up.elements[n].part = network::scaled(up.elements[n].part, 1.01);
      down.elements[n].part = network::scaled(down.elements[n].part, 0.99);
      const double expected = std::max(network::evaluate(up, r.source, 7.1e6, {20.0, -300.0}).swr,
                                       network::evaluate(down, r.source, 7.1e6, {20.0, -300.0}).swr);
      CHECK(s.swr_at_one_percent[n] == expected);
      CHECK(s.swr_at_one_percent[n] > 1.0);
    }
  }
}

TEST_CASE("a request's defaults are those documented") {
  const MatchRequest r;
  CHECK(r.form == Form::l);
  CHECK(r.freedom == Freedom::least_loss);
  CHECK(r.swr_limit == 2.0);
  CHECK(r.source.z_ohm == cdouble(50.0, 0.0));
  CHECK(r.source.power_w == 1.0);
  CHECK(r.stock.least_inductance_h == 10e-9);
  CHECK(r.stock.most_inductance_h == 200e-6);
  CHECK(r.stock.least_capacitance_f == 2e-12);
  CHECK(r.stock.most_capacitance_f == 20e-9);
  CHECK(r.stock.inductor_self_capacitance_f == 0.0);
  CHECK(std::isinf(r.stock.inductor_loss.q));
  CHECK(r.stock.capacitor_loss.loss_tangent == 0.0);
}

TEST_CASE("requests outside their range are refused") {
  const MatchRequest good = request(Form::t, 7.1e6, 50.0, 20.0);
  const auto refused = [&](const auto& change, const char* words) {
    MatchRequest r = good;
    change(r);
    CHECK_THROWS_WITH(solve_match(r), Catch::Matchers::Contains(words));
  };
  refused([](MatchRequest& r) { r.frequency_hz = 0.0; }, "frequency of a match must be > 0");
  refused([](MatchRequest& r) { r.source.z_ohm = {0.0, 50.0}; }, "real part > 0");
  refused([](MatchRequest& r) { r.swr_limit = 1.0; }, "SWR limit must be > 1");
  refused([](MatchRequest& r) { r.stock.least_capacitance_f = 1.0; }, "capacitance limits");
  refused([](MatchRequest& r) { r.stock.inductor_loss.q = -1.0; }, "inductor_loss.q is -1 and must be > 0");
  refused([](MatchRequest& r) { r.freedom = Freedom::loaded_q; }, "wanted Q must be > 0");
  refused(
      [](MatchRequest& r) {
        r.freedom = Freedom::phase;
        r.freedom_value = std::nan("");
      },
      "phase must be finite");
}

TEST_CASE("a load that is the match already needs no part") {
  for (const auto& [zs, zl] : {std::pair<cdouble, cdouble>{50.0, 50.0}, {{50.0, -30.0}, {50.0, 30.0}}}) {
    const MatchRequest r = request(Form::l, 7.1e6, zs, zl);
    const auto solutions = solve_match(r);
    REQUIRE(!solutions.empty());
    CHECK(solutions.front().ladder.elements.empty());
    CHECK(solutions.front().evaluation.swr == 1.0);
    CHECK(solutions.front().end_q == 0.0);
    CHECK(solutions.front().swr_at_one_percent.empty());
    CHECK(describe(solutions.front().ladder) == "straight through");
    check_matched(solutions);
    // Two parts that undo each other are one of the other matches only where both do something.
    for (std::size_t n = 1; n < solutions.size(); ++n) CHECK(solutions[n].evaluation.loaded_q > 0.1);
  }
  CHECK(solve_match(request(Form::l, 7.1e6, 50.0, 50.0)).size() == 1);
}

TEST_CASE("one part is an L match where it is enough") {
  const double f = 7.1e6, w = two_pi * f;
  const auto lone = [&](cdouble load, const Wanted& part) {
    const auto solutions = solve_match(request(Form::l, f, 50.0, load));
    INFO(print_impedance(load, 17));
    check_matched(solutions);
    CHECK(contains(solutions, {part}, 1e-9));
    for (const MatchSolution& s : solutions) {
      for (std::size_t n = 0; n < s.ladder.elements.size(); ++n) {  // no part that could be left out
        network::Ladder rest = s.ladder;
        rest.elements.erase(rest.elements.begin() + static_cast<std::ptrdiff_t>(n));
        CHECK(network::evaluate(rest, {50.0, 1.0}, f, load).swr > 1.0 + 1e-6);
      }
    }
  };
  lone({50.0, -100.0}, {series, 'L', 100.0 / w});
  lone({50.0, 100.0}, {series, 'C', 1.0 / (100.0 * w)});
  lone(1.0 / cdouble{0.02, -0.01}, {shunt, 'C', 0.01 / w});
  lone(1.0 / cdouble{0.02, 0.01}, {shunt, 'L', 1.0 / (0.01 * w)});
  // With its losses inside: 50 ohm less the coil's own resistance.
  MatchRequest r = request(Form::l, f, 50.0, {50.0 - 100.0 / 200.0, -100.0});
  r.stock.inductor_loss.q = 200.0;
  CHECK(contains(solve_match(r), {{series, 'L', 100.0 / w}}, 1e-9));
}

TEST_CASE("every load with a resistance has an L match without losses") {
  // On the borders between the kinds of networks too: R = 50 ohm, G = 1/50 S, real loads.
  const double f = 7.1e6;
  for (const double r : {0.5, 20.0, 50.0, 60.0, 3000.0}) {
    for (const double x : {-2000.0, -50.0, 0.0, 50.0, 2000.0}) {
      for (const cdouble load : {cdouble{r, x}, 1.0 / cdouble{1.0 / r, x / 1e4}}) {
        INFO(print_impedance(load, 17));
        const auto solutions = solve_match(request(Form::l, f, 50.0, load));
        CHECK(!solutions.empty());
        check_matched(solutions);
      }
    }
  }
}

TEST_CASE("without losses the lower loaded Q goes first") {
  const auto in_order = [](const std::vector<MatchSolution>& solutions) {
    for (std::size_t n = 1; n < solutions.size(); ++n) {
      CHECK(solutions[n].evaluation.loss.dissipation_db == 0.0);
      CHECK(solutions[n - 1].evaluation.loaded_q <= solutions[n].evaluation.loaded_q + 1e-9);
    }
  };
  const auto l = solve_match(request(Form::l, 7.1e6, 50.0, {200.0, -300.0}));
  CHECK(l.size() >= 2);
  in_order(l);
  // A T within the stock's limits has many members without loss: the one of least loaded Q is taken.
  MatchRequest r = request(Form::t, 7.1e6, 50.0, {20.0, -100.0});
  const auto best = solve_match(r);
  REQUIRE(!best.empty());
  in_order(best);
  double least = network::infinite;
  r.freedom = Freedom::end_q;
  for (double q = 0.05; q < 60.0; q *= 1.05) {
    r.freedom_value = q;
    for (const MatchSolution& s : solve_match(r)) least = std::min(least, s.evaluation.loaded_q);
  }
  CHECK(best.front().evaluation.loaded_q <= least + 1e-6);
}

TEST_CASE("the stated end Q is that of the part itself with losses and self-capacitance") {
  int coils = 0, capacitors = 0;
  for (const Form form : {Form::pi_network, Form::t}) {
    for (const double q : {0.7, 3.0, 8.0}) {
      MatchRequest r = request(form, 7.1e6, {50.0, 10.0}, {20.0, -60.0});
      r.stock.inductor_loss = {120.0, 5e6, 0.4, 0.0};
      r.stock.capacitor_loss = {500.0, 0.0, 0.2, 0.003};
      r.stock.inductor_self_capacitance_f = 3e-12;
      r.freedom = Freedom::end_q;
      r.freedom_value = q;
      const auto solutions = solve_match(r);
      check_matched(solutions);
      for (const MatchSolution& s : solutions) {
        INFO(describe(s.ladder));
        const network::Element& first = s.ladder.elements.front();
        const cdouble z = network::impedance(first.part, 7.1e6), target{50.0, -10.0};
        const double own =
            form == Form::t ? std::abs(z.imag()) / target.real() : std::abs((1.0 / z).imag()) / (1.0 / target).real();
        CHECK(std::abs(own - q) <= 1e-9 * q);
        CHECK(std::abs(s.end_q - q) <= 1e-9 * q);
        ++(std::holds_alternative<network::Inductor>(first.part) ? coils : capacitors);
      }
    }
  }
  CHECK(coils > 0);
  CHECK(capacitors > 0);
}

TEST_CASE("bandwidth ends where the model of a part does") {
  // RG-174 has no constants far below 472 kHz: the square-root law of its conductor loss fails there.
  const network::Ladder lead{
      {{"", network::Place::cascade, network::TransmissionLine{network::cable("RG-174"), 0.8}, {}}}};
  const double f = 472e3;
  const Bandwidth band = swr_bandwidth(lead, {50.0, 1.0}, constant(50.0), f, 2.0);
  CHECK(band.low_is_data_edge);
  CHECK(band.low_hz < f);
  CHECK(network::evaluate(lead, {50.0, 1.0}, band.low_hz, 50.0).swr < 2.0);
  CHECK_THROWS_AS(network::evaluate(lead, {50.0, 1.0}, band.low_hz * (1.0 - 1e-9), 50.0), DomainError);
  CHECK(!band.high_is_data_edge);
  CHECK_THROWS_AS(swr_bandwidth(lead, {50.0, 1.0}, constant(50.0), 0.1 * band.low_hz, 2.0), DomainError);
}

TEST_CASE("a frequency that means the last sample has a bandwidth") {
  const load::Load load{"flat", "test", load::make_sampled_load({7.0e6, 7.1e6, 7.2e6}, {50.0, 50.0, 50.0}), {}};
  const double beyond = 7.2e6 * (1.0 + 4e-13), before = 7.0e6 * (1.0 - 4e-13);
  const Bandwidth above = swr_bandwidth({}, {50.0, 1.0}, load, beyond, 2.0);
  CHECK(above.low_hz == 7.0e6);
  CHECK(above.high_hz == beyond);
  CHECK(above.high_is_data_edge);
  const Bandwidth below = swr_bandwidth({}, {50.0, 1.0}, load, before, 2.0);
  CHECK(below.low_hz == before);
  CHECK(below.low_is_data_edge);
  CHECK(below.high_hz == 7.2e6);
}
