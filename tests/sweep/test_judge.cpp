#include <catch2/catch.hpp>

#include <stile/network/cable.hpp>
#include <stile/network/chain.hpp>

#include "sweep/synthetic.hpp"

using namespace stile;
using namespace stile::sweep;
using namespace stile::sweep::test;
using Catch::Matchers::Contains;

namespace {

/// What an antenna of this kind shows: 12 ohm, resonant at 7.1 MHz.
cdouble whip(double f) { return series_rlc(12.0, 20e-6, 1.0 / (std::pow(two_pi * 7.1e6, 2) * 20e-6), f); }

cdouble behind(double length_m, const std::function<cdouble(double)>& z, double f) {
  const std::array<network::Chain, 1> line{
      network::line_chain(network::line_from_cable(network::cable("RG-58"), f), length_m)};
  return network::input_impedance(line, z(f));
}

}  // namespace

TEST_CASE("every kind of finding has its word") {
  const std::vector<std::pair<FindingKind, const char*>> words{{FindingKind::characters, "characters"},
                                                               {FindingKind::option_line, "option line"},
                                                               {FindingKind::decimal_comma, "decimal comma"},
                                                               {FindingKind::columns, "columns"},
                                                               {FindingKind::noise_block, "noise block"},
                                                               {FindingKind::order, "order"},
                                                               {FindingKind::duplicate, "duplicate"},
                                                               {FindingKind::rounding, "rounding"},
                                                               {FindingKind::reference, "reference"},
                                                               {FindingKind::magnitude_only, "magnitude only"},
                                                               {FindingKind::zero_frequency, "zero frequency"},
                                                               {FindingKind::above_one, "reflection above one"},
                                                               {FindingKind::open_circuit, "open circuit"},
                                                               {FindingKind::high_reflection, "high reflection"},
                                                               {FindingKind::noise_floor, "noise floor"},
                                                               {FindingKind::jump, "jump"},
                                                               {FindingKind::folded_reactance, "folded reactance"},
                                                               {FindingKind::few_points, "few points at a resonance"},
                                                               {FindingKind::cable, "cable"},
                                                               {FindingKind::plane, "calibration plane"},
                                                               {FindingKind::causality, "causality"},
                                                               {FindingKind::not_passive, "not passive"},
                                                               {FindingKind::not_reciprocal, "not reciprocal"},
                                                               {FindingKind::one_path, "one path"},
                                                               {FindingKind::repeated_columns, "repeated columns"},
                                                               {FindingKind::ill_conditioned, "ill-conditioned"},
                                                               {FindingKind::too_few, "too few points"}};
  CHECK(words.size() == static_cast<std::size_t>(FindingKind::too_few) + 1);
  for (const auto& [kind, word] : words) CHECK(finding_name(kind) == word);
}

TEST_CASE("a judgement and a one-port have the defaults documented") {
  const JudgeOptions o;
  CHECK(o.above_one == AboveOne::cut);
  CHECK(o.reference_error == 0.0);
  CHECK(o.instrument_error == 0.0);
  CHECK_FALSE(o.keep_open);
  CHECK_FALSE((o.reference_ohm || o.band_low_hz || o.band_high_hz));
  CHECK(OnePort{}.reference_ohm == 50.0);
}

TEST_CASE("what a sweep becomes as a load tells what was odd about it") {
  // A point of negative resistance is left out; a caveat of a line and one of the whole file.
  OnePort port;
  port.name = "a.s1p";
  port.frequency_hz = {7e6, 7.1e6, 7.2e6};
  port.z_ohm = {{10.0, -5.0}, {-1.0, 0.0}, {12.0, 5.0}};
  port.uncertainty_ohm = {0.1, 0.1, 0.1};
  port.caveats = {{FindingKind::jump, 7, 7.1e6, 1, "a jump"}, {FindingKind::cable, 0, 0.0, 3, "a cable"}};
  const load::Load load = to_load(port, 1.15);
  CHECK(load.name == "a.s1p");
  CHECK(load::load_impedance(load, 7e6) == cdouble(10.0, -5.0));
  CHECK(std::abs(load::load_impedance(load, 7.1e6) - cdouble(11.0, 0.0)) <= 1e-9);
  CHECK(load.reading_warnings == std::vector<std::string>{"a.s1p: 1 point with |S11| > 1 left out",
                                                          "a.s1p:7: jump: a jump", "a.s1p: cable: a cable"});
}

TEST_CASE("thresholds of a judgement are where they are said to be") {
  const auto f = steps(5e6, 10e6, 51);
  const auto resistor = [&](double s) {
    return measured(f, [s](double) { return cdouble(50.0 * (1.0 + s) / (1.0 - s)); });
  };
  // |S11| above 0.98.
  CHECK_FALSE(has(judge(resistor(0.979)).findings, FindingKind::high_reflection));
  CHECK(found(judge(resistor(0.981)).findings, FindingKind::high_reflection).count == 51);
  // R by more than a tenth: 2 dS/(1 - S^2) at S = 0.9 with dS = 0.0095.
  for (const double error : {0.0094, 0.0096}) {
    JudgeOptions options;
    options.instrument_error = error;
    CHECK(has(judge(resistor(0.9), options).findings, FindingKind::noise_floor) == (error > 0.0095));
  }
  // 50 and 75 ohm are usual.
  for (const double r0 : {50.0, 75.0, 60.0, 300.0}) {
    Sweep sweep = resistor(0.1);
    sweep.reference_ohm = {r0};
    INFO(r0);
    CHECK(has(judge(sweep).findings, FindingKind::reference) == (r0 != 50.0 && r0 != 75.0));
  }
  // S11 rounded to three digits is well, to two not; R of 12 ohm to 0.1 is, to 1 not.
  const auto rounded = [](const std::string& head, const char* format) {
    std::string text = head;
    for (int i = 0; i < 20; ++i) text += fmt::format(fmt::runtime(format), 7.0 + 0.01 * i, 12.345, -300.0 + 1.57 * i);
    return has(judge(read_sweep_text(text, "a.csv")).findings, FindingKind::rounding);
  };
  const auto reflection = [](const char* format) {
    std::string text = "# MHz S RI R 50\n";
    for (int i = 0; i < 20; ++i) text += fmt::format(fmt::runtime(format), 7.0 + 0.01 * i, 0.1234, 0.2345 + 0.0123 * i);
    return has(judge(read_sweep_text(text, "a.s1p")).findings, FindingKind::rounding);
  };
  CHECK_FALSE(reflection("{:.2f} {:.4f} {:.4f}\n"));
  CHECK(reflection("{:.2f} {:.2f} {:.2f}\n"));
  CHECK_FALSE(rounded("frequency_mhz,r_ohm,x_ohm\n", "{:.2f},{:.1f},{:.1f}\n"));
  CHECK(rounded("frequency_mhz,r_ohm,x_ohm\n", "{:.2f},{:.0f},{:.0f}\n"));
}

TEST_CASE("a resonance is resolved by four points within its width") {
  // f/Q = R/(2 pi L) = 95.49 kHz about 7.1 MHz, where one point stands: three of 40 kHz, five of 20 kHz, one of 60.
  const auto told = [](double step_hz, int each_side) {
    return has(judge(measured(steps(7.1e6 - each_side * step_hz, 7.1e6 + each_side * step_hz,
                                    static_cast<std::size_t>(2 * each_side + 1)),
                              whip))
                   .findings,
               FindingKind::few_points);
  };
  CHECK(told(60e3, 10));
  CHECK(told(40e3, 12));
  CHECK_FALSE(told(20e3, 20));
}

TEST_CASE("a cable's length is that of its turns") {
  // A resistor behind 10 m of lossless line of velocity factor 0.66: 2 l f/v turns.
  const auto behind_line = [](double f) {
    const std::array<network::Chain, 1> line{network::line_chain(network::lossless_line(50.0, 0.66, f), 10.0)};
    return network::input_impedance(line, 200.0);
  };
  CHECK_THAT(found(judge(measured(steps(1e6, 30e6, 400), behind_line)).findings, FindingKind::cable).text,
             Contains("S11 turns by 2.9 turns, as behind 10 m of line (velocity factor 0.66)"));
}

TEST_CASE("a clean sweep has no findings and serves for everything") {
  const Judgement j = judge(measured(steps(6.8e6, 7.4e6, 201), whip, 2e-4));
  for (const Finding& f : j.findings) UNSCOPED_INFO(finding_name(f.kind) << ": " << f.text);
  CHECK(j.findings.empty());
  CHECK(j.usable);
  CHECK(j.usable_for == std::vector<std::string>{"resistance", "reactance", "SWR"});
}

TEST_CASE("the random error is that of the noise within a tenth, and the uncertainty of Z follows from it") {
  const Sweep sweep = measured(steps(6.8e6, 7.4e6, 2001), whip, 1e-3);
  const Judgement j = judge(sweep);
  REQUIRE(j.random_error);
  CHECK(*j.random_error == Approx(1e-3).epsilon(0.1));
  const OnePort port = one_port(sweep, {}, j);
  CHECK(port.uncertainty_ohm[0] ==
        Approx(std::norm(port.z_ohm[0] + 50.0) / 100.0 * j.random_error.value()).epsilon(1e-12));
  JudgeOptions stated;
  stated.instrument_error = 0.01;
  CHECK(one_port(sweep, stated, judge(sweep, stated)).uncertainty_ohm[0] ==
        Approx(std::norm(port.z_ohm[0] + 50.0) / 100.0 * 0.01).epsilon(1e-12));
}

TEST_CASE("points above total reflection are cut, kept or scaled, and listed") {
  Sweep sweep = measured(steps(1e6, 2e6, 11), [](double f) { return cdouble(0.0, -1e-4 * f); });
  for (std::size_t i = 5; i < 11; ++i) sweep.values[i] *= 0.9;
  sweep.values[1] *= 1.004;
  sweep.values[3] *= 1.02;
  const Judgement cut = judge(sweep);
  CHECK(cut.cut == std::vector<std::size_t>{3, 5});
  const Finding& f = found(cut.findings, FindingKind::above_one);
  CHECK(f.line == 3);
  CHECK(f.count == 2);
  CHECK(f.frequency_hz == sweep.frequency_hz[3]);
  CHECK_THAT(f.text, Contains("by 0.02 at most"));
  CHECK(one_port(sweep, {}, cut).frequency_hz.size() == 9);

  JudgeOptions keep;
  keep.above_one = AboveOne::keep;
  const OnePort kept = one_port(sweep, keep, judge(sweep, keep));
  CHECK(kept.frequency_hz.size() == 11);
  CHECK(kept.marked[3]);
  CHECK(kept.z_ohm[3].real() < 0.0);
  const load::Load left = to_load(kept);  // what is marked is left out, and said
  CHECK(std::get<load::SampledLoad>(left.model).frequency_hz.size() == 9);
  CHECK_THAT(left.reading_warnings.front(), Contains("2 points with |S11| > 1 left out"));

  JudgeOptions scale;
  scale.above_one = AboveOne::scale;
  scale.reference_error = 0.01;
  const Judgement scaled = judge(sweep, scale);
  CHECK(scaled.cut == std::vector<std::size_t>{5});
  CHECK(one_port(sweep, scale, scaled).frequency_hz.size() == 10);
  CHECK(to_load(one_port(sweep, scale, scaled)).reading_warnings.size() == scaled.findings.size());
}

TEST_CASE("a reflection near one warns that R is lost, as four short elements that read 1.5 to 7 ohm") {
  const Judgement j = judge(measured(steps(5e6, 10e6, 51), [](double f) { return series_rlc(2.0, 1e-6, 40e-12, f); }));
  CHECK(found(j.findings, FindingKind::high_reflection).count == 51);
  CHECK(j.usable_for == std::vector<std::string>{"reactance", "SWR"});
}

TEST_CASE("noise that leaves R open is a finding with its range") {
  const Judgement j = judge(measured(steps(6e6, 7.1e6, 401), whip, 3e-3));
  const Finding& f = found(j.findings, FindingKind::noise_floor);
  CHECK(f.line >= 2);
  CHECK(f.frequency_hz < 6.8e6);
}

TEST_CASE("a jump and a single point off are found, a segment of another step is not") {
  Sweep sweep = measured(steps(6.8e6, 7.4e6, 101), whip, 1e-4);
  for (std::size_t i = 60; i < 101; ++i) sweep.values[i] += cdouble(0.05, 0.03);
  sweep.values[20] += 0.08;
  const Finding f = found(judge(sweep).findings, FindingKind::jump);
  CHECK(f.count == 2);
  CHECK(f.line == 22);
  CHECK_THAT(f.text, Contains("2 jumps, the largest of ") && Contains("in S11 at 6.92 MHz"));
  std::vector<double> two = steps(6.8e6, 7.0e6, 101);
  for (const double more : steps(7.01e6, 7.4e6, 40)) two.push_back(more);
  CHECK_FALSE(has(judge(measured(two, whip, 1e-4)).findings, FindingKind::jump));
}

TEST_CASE("a reactance without its sign has a corner at zero") {
  const auto folded = [](double f) { return cdouble(whip(f).real(), std::abs(whip(f).imag())); };
  const Judgement j = judge(measured(steps(6.8e6, 7.4e6, 121), folded));
  const Finding& f = found(j.findings, FindingKind::folded_reactance);
  CHECK(f.frequency_hz == Approx(7.1e6).epsilon(1e-3));
  CHECK(j.usable_for[1] == "reactance but for its sign");
  CHECK_FALSE(has(judge(measured(steps(6.8e6, 7.4e6, 121), whip)).findings, FindingKind::folded_reactance));
}

TEST_CASE("a resonance needs points") {
  // f/Q = R/(2 pi L) = 95 kHz here: 61 steps over 600 kHz have 9 in it, 13 have one or two.
  CHECK_FALSE(has(judge(measured(steps(6.8e6, 7.4e6, 61), whip)).findings, FindingKind::few_points));
  const Judgement j = judge(measured(steps(6.8e6, 7.4e6, 13), whip));
  CHECK(found(j.findings, FindingKind::few_points).frequency_hz == Approx(7.1e6).epsilon(1e-2));
  // 1/(2 pi R C) = 398 kHz of a parallel circuit: one or two of 300 kHz steps.
  const auto parallel = [](double f) { return 1.0 / cdouble(1e-3, two_pi * 400e-12 * (f - 7.1e6 * 7.1e6 / f)); };
  CHECK_THAT(found(judge(measured(steps(5.5e6, 8.5e6, 11), parallel)).findings, FindingKind::few_points).text,
             Contains("2 points within the width of the parallel resonance near 7.10"));
  CHECK_FALSE(has(judge(measured(steps(5.5e6, 8.5e6, 61), parallel)).findings, FindingKind::few_points));
}

TEST_CASE("an open, a short and a cable alone have no resonance whose points could be too few") {
  // Open and short: R is below what |S11| can tell, and the width with it. The cable turns evenly through X = 0.
  for (const bool open : {true, false}) {
    const auto end = [&](double) { return open ? cdouble(2e6) : cdouble(0.001); };
    CHECK_FALSE(has(judge(measured(steps(1e6, 30e6, 101), end, 1e-3)).findings, FindingKind::few_points));
    const auto cable = [&](double f) {
      const cdouble angle = cdouble(0.002, two_pi * f * 25e-9);
      return open ? 50.0 / std::tanh(angle) : 50.0 * std::tanh(angle);
    };
    const std::vector<Finding> findings = judge(measured(steps(1e6, 50e6, 99), cable, 1e-4)).findings;
    CHECK_FALSE(has(findings, FindingKind::few_points));
    CHECK(has(findings, FindingKind::high_reflection));
  }
}

TEST_CASE("a resonance of little loss whose R is known has too few points all the same") {
  // 0.4 ohm in series (|S11| 0.984), and 6 kohm in parallel (0.983): a width of 3.2 kHz and of 105 kHz.
  const auto trap = [](double f) {
    const double w = two_pi * f, l = 2e-6, c = 1.0 / (std::pow(two_pi * 7.1e6, 2) * l);
    return 1.0 / cdouble(1.0 / 6000.0, w * c - 1.0 / (w * l));
  };
  const auto coil = [](double f) { return series_rlc(0.4, 20e-6, 1.0 / (std::pow(two_pi * 7.1e6, 2) * 20e-6), f); };
  JudgeOptions stated;
  stated.instrument_error = 1e-4;
  CHECK(has(judge(measured(steps(6.6e6, 7.6e6, 41), coil), stated).findings, FindingKind::few_points));
  CHECK(has(judge(measured(steps(5.6e6, 8.6e6, 31), trap), stated).findings, FindingKind::few_points));
  CHECK_FALSE(has(judge(measured(steps(7.09e6, 7.11e6, 41), coil), stated).findings, FindingKind::few_points));
}

TEST_CASE("a cable left inside turns the angle, the antenna alone does not") {
  const auto f = steps(20e6, 30e6, 401);
  const auto z = [](double hz) { return series_rlc(35.0, 2e-6, 1.0 / (std::pow(two_pi * 26e6, 2) * 2e-6), hz); };
  CHECK_FALSE(has(judge(measured(f, z, 5e-4)).findings, FindingKind::cable));
  const Judgement j = judge(measured(
      f, [&](double hz) { return behind(15.0, z, hz); }, 5e-4));
  const Finding& cable = found(j.findings, FindingKind::cable);
  CHECK_THAT(cable.text, Contains("m of line"));
  // A resistor at the end of a short lead looks like a capacitor, but its angle is even.
  const auto resistor = [&](double hz) {
    return behind(
        1.2, [](double) { return cdouble(2400.0); }, hz);
  };
  CHECK(has(judge(measured(steps(1e6, 30e6, 200), resistor)).findings, FindingKind::cable));
  const auto capacitor = [](double hz) { return cdouble(3.0, -1.0 / (two_pi * hz * 105e-12)); };
  CHECK_FALSE(has(judge(measured(steps(1e6, 30e6, 200), capacitor)).findings, FindingKind::cable));
}

TEST_CASE("a bare resonance is no cable, however steep and narrow, and a cable before it is still found") {
  std::size_t tried = 0, found_cables = 0, cables = 0;
  for (const double r : {1.0, 5.0, 12.0, 20.0, 35.0, 49.0, 60.0, 200.0})
    for (const double l : {0.5e-6, 2e-6, 5e-6, 20e-6, 60e-6})
      for (const double span : {1.02, 1.1, 1.25, 1.5, 2.0, 2.9, 4.0, 10.0, 30.0})
        for (const double centre : {0.8, 1.0, 1.25}) {
          const auto z = [&](double f) { return series_rlc(r, l, 1.0 / (std::pow(two_pi * 7.1e6, 2) * l), f); };
          const auto f = steps(7.1e6 * centre / std::sqrt(span), 7.1e6 * centre * std::sqrt(span), 201);
          INFO(r << " ohm, " << l << " H, span " << span << ", centre " << centre);
          CHECK_FALSE(has(judge(measured(f, z)).findings, FindingKind::cable));
          ++tried;
          // Line of 2.5 turns over the band.
          const double length = 2.5 * 0.66 * 299792458.0 / 2.0 / (f.back() - f.front());
          const auto cabled = [&](double hz) {
            const std::array<network::Chain, 1> line{
                network::line_chain(network::lossless_line(50.0, 0.66, hz), length)};
            return network::input_impedance(line, z(hz));
          };
          if (span >= 3.0) continue;
          ++cables;
          found_cables += has(judge(measured(f, cabled)).findings, FindingKind::cable);
        }
  CHECK(tried == 8 * 5 * 9 * 3);
  CHECK(found_cables == cables);
  // What was taken for 69 m of line: 12 ohm and 20 uH from 6.3 to 7.9 MHz.
  CHECK_FALSE(has(judge(measured(steps(6.3e6, 7.9e6, 201), whip)).findings, FindingKind::cable));
}

TEST_CASE("the rounding of every kind of column is in the uncertainty of each point") {
  const auto port = [](const std::string& text, const std::string& file) {
    const Sweep sweep = read_sweep_text(text, file);
    return one_port(sweep, {}, judge(sweep));
  };
  const double root3 = std::sqrt(3.0), degree = pi / 180.0;
  for (const int n : {6, 41}) {
    std::string table = "frequency_mhz,r_ohm,x_ohm\n";
    for (int i = 0; i < n; ++i) table += fmt::format("{:.3f},12,{}\n", 7.0 + 0.005 * i, -60 + 3 * i);
    for (const double u : port(table, "a.csv").uncertainty_ohm) CHECK(u == Approx(0.5 / root3).epsilon(1e-9));
  }
  const OnePort z = port("frequency_mhz,z_ohm,angle_deg\n7,100.00,30\n7.1,200.00,30\n", "a.csv");
  CHECK(z.uncertainty_ohm[0] == Approx(100.0 * 0.5 * degree / root3).epsilon(1e-9));
  CHECK(z.uncertainty_ohm[1] == Approx(200.0 * 0.5 * degree / root3).epsilon(1e-9));
  // 0.1 dB: half a step of 0.05 dB is 0.576 % of |S11|; the angle has the digits to spare.
  const OnePort db = port("frequency_mhz,return_loss_db,angle_deg\n7,6.0,90.00\n7.1,20.0,90.00\n", "a.csv");
  for (const std::size_t i : {std::size_t{0}, std::size_t{1}}) {
    const double s = std::pow(10.0, i == 0 ? -0.3 : -1.0);
    CHECK(db.uncertainty_ohm[i] ==
          Approx(std::norm(db.z_ohm[i] + 50.0) / 100.0 * s * std::log(10.0) / 20.0 * 0.05 / root3).epsilon(1e-9));
  }
  const OnePort ma = port("# MHz S MA R 50\n7 0.50000 30.0\n7.1 0.50000 40.0\n", "a.s1p");
  CHECK(ma.uncertainty_ohm[0] ==
        Approx(std::norm(ma.z_ohm[0] + 50.0) / 100.0 * 0.5 * 0.05 * degree / root3).epsilon(1e-9));
  const OnePort y = port("# MHz Y RI R 50\n7 1.00 0.00\n7.1 2.00 0.00\n", "a.s1p");  // against 1/50 S
  CHECK(y.z_ohm[0].real() == Approx(50.0));
  CHECK(y.uncertainty_ohm[0] == Approx(2500.0 * 0.005 / 50.0 / root3).epsilon(1e-9));
  // Numbers with exponents, too few for a scatter: not known.
  const Sweep few = read_sweep_text("# MHz S RI R 50\n7 1e-1 0\n7.1 2e-1 0\n", "a.s1p");
  CHECK_FALSE(judge(few).random_error);
  for (const double u : one_port(few, {}, judge(few)).uncertainty_ohm) CHECK(std::isnan(u));
  JudgeOptions stated;
  stated.instrument_error = 0.01;
  CHECK(one_port(few, stated, judge(few, stated)).uncertainty_ohm[0] > 0.0);
}

TEST_CASE("a point is cut by itself, not with its line") {
  Sweep sweep = measured(steps(1e6, 2e6, 4), [](double) { return cdouble(20.0, 10.0); });
  sweep.line = {8, 8, 9, 9};  // two points a line, which version 2 allows
  sweep.values[1] = 1.1;
  const Judgement j = judge(sweep);
  CHECK(j.cut == std::vector<std::size_t>{8});
  CHECK(j.cut_points == std::vector<std::size_t>{1});
  CHECK(one_port(sweep, {}, j).frequency_hz.size() == 3);
}

TEST_CASE("of three ports all are judged: reflections above one, ways that differ, power that is not there") {
  const auto judged = [](const std::string& rows) {
    return judge(read_sweep_text("# MHz S RI R 50\n" + rows, "a.s3p")).findings;
  };
  const std::string good = "1 0.5 0 0.1 0 0.1 0\n 0.1 0 0.5 0 0.2 0\n 0.1 0 0.2 0 0.5 0\n";
  for (const FindingKind kind : {FindingKind::above_one, FindingKind::not_reciprocal, FindingKind::not_passive})
    CHECK_FALSE(has(judged(good), kind));
  const auto high = judged(good + "2 0.5 0 0.1 0 0.1 0\n 0.1 0 0.5 0 0.2 0\n 0.1 0 0.2 0 1.25 0\n");
  CHECK(found(high, FindingKind::above_one).line == 5);
  CHECK(found(high, FindingKind::above_one).frequency_hz == 2e6);
  CHECK_THAT(found(high, FindingKind::above_one).text, Contains("|S33| above 1 at 1 of 2 points, by 0.25 at most"));
  CHECK(found(high, FindingKind::not_passive).line == 5);
  const auto one_way = judged(good + "2 0.5 0 0.1 0 0.1 0\n 0.1 0 0.5 0 0.2 0\n 0.1 0 0.6 0 0.5 0\n");
  CHECK(found(one_way, FindingKind::not_reciprocal).line == 5);
  CHECK_THAT(found(one_way, FindingKind::not_reciprocal).text,
             Contains("S23 and S32 differ at 1 point, by 0.4 at most"));
  // Two pairs that differ are two findings; one way that is 0 throughout was not measured.
  const std::string silent = "1 0.5 0 0 0 0.1 0\n 0.1 0 0.5 0 0.2 0\n 0.3 0 0.6 0 0.5 0\n";
  std::vector<std::string> pairs;
  for (const Finding& f : judged(silent + "2" + silent.substr(1)))
    if (f.kind == FindingKind::not_reciprocal) pairs.push_back(f.text.substr(0, 18));
  CHECK(pairs == std::vector<std::string>{"S13 and S31 differ", "S23 and S32 differ"});
  CHECK(found(judged(silent + "2" + silent.substr(1)), FindingKind::one_path).text ==
        "S12 is 0 throughout and S21 is not: not measured");
}

TEST_CASE("of three ports in S or Z the same S goes on") {
  const auto text = [](const std::string& kind) {
    return "[Version] 2.0\n# MHz " + kind +
           " RI R 50\n"
           "[Number of Ports] 3\n[Number of Frequencies] 1\n"
           "[Network Data]\n1 0.5 0 0.1 0 0.1 0\n 0.1 0 0.5 0 0.1 0\n 0.1 0 0.1 0 0.5 0\n[End]\n";
  };
  const Sweep s = read_sweep_text(text("S"), "a.s3p");
  CHECK(one_port(s, {}, judge(s)).z_ohm[0].real() == Approx(150.0));
  // S has the eigenvalues 0.7 (once) and 0.4 (twice); Z = 50 (1 + S)/(1 - S) = 50 (2 (1 - S)^-1 - 1).
  const double a = 1.0 / (0.5 + 0.1), b = (1.0 / (0.5 - 0.2) - a) / 3.0;  // (1 - S)^-1: 1/(1-0.4), 1/(1-0.7)
  Sweep z = s;
  z.kind = load::TouchstoneKind::z;
  for (std::size_t row = 0; row < 3; ++row)
    for (std::size_t column = 0; column < 3; ++column)
      z.values[row * 3 + column] = 50.0 * (2.0 * (b + (row == column ? a : 0.0)) - (row == column ? 1.0 : 0.0));
  Sweep y = z;  // of a symmetric matrix the inverse the same way: eigenvalues 1/z
  y.kind = load::TouchstoneKind::y;
  const double one = 1.0 / (50.0 * 1.4 / 0.6), all = 1.0 / (50.0 * 1.7 / 0.3);
  for (std::size_t row = 0; row < 3; ++row)
    for (std::size_t column = 0; column < 3; ++column)
      y.values[row * 3 + column] = (all - one) / 3.0 + (row == column ? one : 0.0);
  for (const Sweep& other : {z, y}) {
    const auto again = scattering_of(other, 0);
    for (std::size_t k = 0; k < 9; ++k) CHECK(std::abs(again[k] - s.values[k]) <= 1e-12);
    CHECK(one_port(other, {}, judge(other)).z_ohm[0].real() == Approx(150.0));
  }
}

TEST_CASE("what corrects another sweep is cut to the band and one point beyond each edge") {
  const Sweep sweep = measured(steps(1e6, 10e6, 10), whip);
  CHECK(in_band(sweep, 3.5e6, 6.5e6).frequency_hz == std::vector<double>{3e6, 4e6, 5e6, 6e6, 7e6});
  CHECK(in_band(sweep, 3e6, 6e6).frequency_hz == std::vector<double>{3e6, 4e6, 5e6, 6e6});
  CHECK(in_band(sweep, 3e6, 6e6).values[0] == sweep.values[2]);
  CHECK(in_band(sweep, {}, 0.5e6).frequency_hz == std::vector<double>{1e6});
  CHECK(in_band(sweep, {}, {}).frequency_hz == sweep.frequency_hz);
}

TEST_CASE("a plane beyond the load turns the angle the wrong way") {
  Sweep sweep = measured(steps(10e6, 100e6, 91), [](double) { return cdouble(500.0); });
  for (std::size_t i = 0; i < sweep.values.size(); ++i)
    sweep.values[i] *= std::polar(1.0, 4.0 * pi * sweep.frequency_hz[i] * 0.5e-9);
  CHECK_THAT(found(judge(sweep).findings, FindingKind::plane).text,
             Contains("counter-clockwise, by 32 degrees") && Contains("by some 0.099 m of line"));
}

TEST_CASE("a stretch that turns the wrong way near total reflection cannot be passive") {
  Sweep sweep = measured(steps(10e6, 20e6, 101), [](double f) { return cdouble(1.0, -1.0 / (two_pi * f * 100e-12)); });
  for (std::size_t i = 30; i < 60; ++i) sweep.values[i] *= std::polar(1.0, 0.03 * static_cast<double>(i - 29));
  for (std::size_t i = 60; i < 101; ++i) sweep.values[i] *= std::polar(1.0, 0.9);
  CHECK(found(judge(sweep).findings, FindingKind::causality).line >= 30);
}

TEST_CASE("rounded columns are told with what they cost") {
  std::string text = "frequency_mhz,r_ohm,x_ohm\n";
  for (int i = 0; i < 20; ++i) text += fmt::format("{},{},{}\n", 7.0 + 0.01 * i, 12, -300 + 15 * i);
  CHECK_THAT(found(judge(read_sweep_text(text, "a.csv")).findings, FindingKind::rounding).text, Contains("+-0.5"));
  text = "# MHz S RI R 50\n";
  for (int i = 0; i < 20; ++i) text += fmt::format("{} {:.2f} {:.2f}\n", 7.0 + 0.01 * i, 0.1, 0.2 + 0.01 * i);
  CHECK_THAT(found(judge(read_sweep_text(text, "a.s1p")).findings, FindingKind::rounding).text, Contains("+-0.005"));
}

TEST_CASE("a reference that is not the one stated is told") {
  Sweep sweep = measured(steps(6.8e6, 7.4e6, 61), whip);
  JudgeOptions options;
  options.reference_ohm = 75.0;
  CHECK_THAT(found(judge(sweep, options).findings, FindingKind::reference).text, Contains("75 ohm is stated"));
  sweep.reference_ohm = {1.0};
  CHECK_THAT(found(judge(sweep).findings, FindingKind::reference).text, Contains("unusual reference of 1 ohm"));
}

TEST_CASE("SWR alone says what cannot be known") {
  const Sweep sweep = read_sweep_text("frequency_mhz,swr\n7,2\n7.1,1.5\n7.2,2.2\n", "a.csv");
  const Judgement j = judge(sweep);
  CHECK_THAT(found(j.findings, FindingKind::magnitude_only).text, Contains("the sign of X"));
  CHECK(j.usable_for == std::vector<std::string>{"SWR"});
  CHECK_THROWS_AS(one_port(sweep, {}, j), Error);
}

TEST_CASE("two-ports: one path, repeated columns, more power out than in") {
  const std::string head = "# MHz S RI R 50\n";
  const auto judged = [&](const std::string& rows) { return judge(read_sweep_text(head + rows, "a.s2p")).findings; };
  const auto one = judged("1 0.1 0 0.9 0 0 0 0 0\n2 0.1 0 0.9 0 0 0 0 0\n");
  CHECK(has(one, FindingKind::one_path));
  CHECK_THAT(found(one, FindingKind::one_path).text, Contains("not known"));
  CHECK_FALSE(has(one, FindingKind::repeated_columns));
  const auto back = judged("1 0.1 0 0.9 0 0 0 0.2 0\n2 0.1 0 0.9 0 0 0 0.3 0\n");
  CHECK_THAT(found(back, FindingKind::one_path).text, Contains("S22 was measured"));
  CHECK(has(judged("1 0.1 0 0.9 0 0.9 0 0.1 0\n2 0.2 0 0.9 0 0.9 0 0.2 0\n"), FindingKind::repeated_columns));
  const auto active = judged("1 0.1 0 0.9 0 0.9 0 -0.3 0\n2 0.5 0 0.9 0 0.9 0 -0.3 0\n");
  CHECK(found(active, FindingKind::not_passive).line == 3);
  CHECK(found(active, FindingKind::not_passive).frequency_hz == 2e6);
  CHECK_THAT(found(active, FindingKind::not_passive).text, Contains("by 0.253 dB at most"));  // 0.5^2 + 0.9^2 = 1.06
}

TEST_CASE("nothing left is not usable") {
  Sweep sweep = measured(steps(1e6, 2e6, 11), [](double) { return cdouble(50.0); });
  for (cdouble& s : sweep.values) s = 1.2;
  const Judgement j = judge(sweep);
  CHECK_FALSE(j.usable);
  CHECK(has(j.findings, FindingKind::too_few));
  CHECK_THROWS_AS(one_port(sweep, {}, j), Error);
}

TEST_CASE("what lies between the points of a passive sweep is passive") {
  // 100000 random sweeps of random length, each looked at in ten places.
  std::mt19937_64 source(11);
  std::uniform_real_distribution<double> uniform(0.0, 1.0);
  std::size_t below = 0;
  for (int trial = 0; trial < 100000; ++trial) {
    const auto n = static_cast<std::size_t>(2 + 8 * uniform(source));
    OnePort sweep;
    double f = 1e6;
    for (std::size_t i = 0; i < n; ++i) {
      f *= 1.0 + 0.1 * uniform(source) + 1e-6;
      sweep.frequency_hz.push_back(f);
      const cdouble s = std::polar(std::sqrt(uniform(source)), two_pi * uniform(source));
      const cdouble z = 50.0 * (1.0 + s) / (1.0 - s);
      sweep.z_ohm.emplace_back(std::max(0.0, z.real()), z.imag());
    }
    const load::Load load = to_load(sweep);
    for (int k = 0; k < 10; ++k) {
      const double at =
          sweep.frequency_hz.front() + uniform(source) * (sweep.frequency_hz.back() - sweep.frequency_hz.front());
      if (load::load_impedance(load, at).real() < 0.0) ++below;
    }
  }
  CHECK(below == 0);
}
