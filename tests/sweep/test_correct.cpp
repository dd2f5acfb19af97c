#include <algorithm>
#include <array>
#include <random>

#include <catch2/catch.hpp>

#include <stile/network/element.hpp>
#include <stile/sweep/correct.hpp>
#include <stile/sweep/fit.hpp>

#include "sweep/synthetic.hpp"

using namespace stile;
using namespace stile::sweep;
using namespace stile::sweep::test;
using Catch::Matchers::Contains;

namespace {

cdouble whip(double f) { return series_rlc(12.0, 20e-6, 1.0 / (std::pow(two_pi * 7.1e6, 2) * 20e-6), f); }

network::Element line(const std::string& name, double length_m) {
  network::Element e;
  e.place = network::Place::cascade;
  e.part = network::TransmissionLine{network::cable(name), length_m};
  return e;
}

network::Ladder some_ladder() {
  network::Ladder ladder;
  ladder.elements.push_back(line("RG-58", 3.0));
  network::Element choke;
  choke.place = network::Place::series;
  choke.part = network::Inductor{0.3e-6, {40.0}, 0.0};
  ladder.elements.push_back(choke);
  network::Element transformer;
  transformer.place = network::Place::cascade;
  transformer.part = network::Transformer{0.5};
  ladder.elements.push_back(transformer);
  return ladder;
}

network::Chain chain_of(const network::Ladder& ladder, double f) {
  network::Chain all;
  for (const network::Element& e : ladder.elements) all = network::cascade(all, network::chain(e, f));
  return all;
}

/// Seen through an error box.
template <class Box>
OnePort seen(const std::vector<double>& f, const std::function<cdouble(double)>& z, const Box& box) {
  OnePort port;
  port.name = "invented";
  for (const double hz : f) {
    const std::array<network::Chain, 1> parts{box(hz)};
    port.frequency_hz.push_back(hz);
    port.z_ohm.push_back(network::input_impedance(parts, z(hz)));
    port.uncertainty_ohm.push_back(0.01);
    port.marked.push_back(false);
  }
  return port;
}

double worst(const OnePort& port, const std::function<cdouble(double)>& z) {
  double most = 0.0;
  for (std::size_t i = 0; i < port.z_ohm.size(); ++i)
    most = std::max(most, std::abs(port.z_ohm[i] - z(port.frequency_hz[i])) / std::abs(z(port.frequency_hz[i])));
  return most;
}

const std::vector<double> band = steps(5e6, 9e6, 41);

}  // namespace

TEST_CASE("a line, a choke and a transformer removed give the load back to 1e-9") {
  const network::Ladder between = some_ladder();
  const OnePort raw = seen(band, whip, [&](double f) { return chain_of(between, f); });
  CHECK(worst(raw, whip) > 0.1);
  CHECK(worst(remove_ladder(raw, between), whip) <= 1e-9);
}

TEST_CASE("an adapter by its S parameters removed gives the load back to 1e-9") {
  const network::Ladder between = some_ladder();
  Sweep file;
  file.file = "adapter.s2p";
  file.ports = 2;
  file.reference_ohm = {50.0, 50.0};
  for (const double f : band) {
    const auto s = network::to_scattering(chain_of(between, f), network::WaveDefinition::power, 50.0, 50.0);
    file.frequency_hz.push_back(f);
    file.line.push_back(file.line.size() + 2);
    for (const cdouble v : {s.s11, s.s12, s.s21, s.s22}) file.values.push_back(v);
  }
  const OnePort raw = seen(band, whip, [&](double f) { return chain_of(between, f); });
  CHECK(worst(remove_adapter(raw, adapter(file)), whip) <= 1e-9);
  const OnePort outside = seen({10e6}, whip, [&](double f) { return chain_of(between, f); });
  CHECK_THROWS_WITH(remove_adapter(outside, adapter(file)), Contains("no data at 10 MHz; data: 5 MHz to 9 MHz"));
  // S12 alone not measured: the part is reciprocal and S22 is there.
  Sweep forward = file;
  for (std::size_t i = 0; i < band.size(); ++i) forward.values[4 * i + 1] = 0.0;
  CHECK(worst(remove_adapter(raw, adapter(forward)), whip) <= 1e-9);
  for (const Finding& f : adapter(forward).caveats) CHECK_THAT(f.text, !Contains("taken as S11"));
  for (std::size_t i = 0; i < band.size(); ++i) forward.values[4 * i + 3] = 0.0;
  CHECK(adapter(forward).s[0].s22 == forward.values[0]);
  CHECK_THAT(adapter(forward).caveats.back().text, Contains("S22 of the adapter was not measured"));
  file.ports = 1;
  CHECK_THROWS_AS(adapter(file), Error);
}

TEST_CASE("open, short and load undo a linear error box to 1e-9, ideal or as stated") {
  // Any three numbers will do for the box: a = 0.9+0.2j and so on, turning with frequency.
  const auto box = [](double f, cdouble s) {
    const cdouble turn = std::polar(1.0, f * 2e-7);
    return ((0.9 + cdouble(0.0, 0.2)) * turn * s + cdouble(0.05, -0.03)) / (cdouble(0.1, 0.04) * s + 1.0);
  };
  Standards standards;
  standards.open_capacitance_f = 0.3e-12;
  standards.short_inductance_h = 0.2e-9;
  standards.match_ohm = {49.7, 0.4};
  standards.match_inductance_h = 0.1e-9;
  for (const Standards& s : {Standards{}, standards}) {
    const auto through_box = [&](const std::function<cdouble(double)>& reflection) {
      OnePort port;
      for (const double f : band) {
        const cdouble g = box(f, reflection(f));
        port.frequency_hz.push_back(f);
        port.z_ohm.push_back(50.0 * (1.0 + g) / (1.0 - g));
        port.uncertainty_ohm.push_back(0.0);
        port.marked.push_back(false);
      }
      return port;
    };
    const auto of = [](cdouble z) { return (z - 50.0) / (z + 50.0); };
    const OnePort open = through_box([&](double f) {
      const cdouble y(0.0, two_pi * f * s.open_capacitance_f * 50.0);
      return (1.0 - y) / (1.0 + y);
    });
    const OnePort shorted = through_box([&](double f) { return of(cdouble(0.0, two_pi * f * s.short_inductance_h)); });
    const OnePort match =
        through_box([&](double f) { return of(s.match_ohm + cdouble(0.0, two_pi * f * s.match_inductance_h)); });
    const OnePort raw = through_box([&](double f) { return of(whip(f)); });
    CHECK(worst(correct_open_short_load(raw, open, shorted, match, s), whip) <= 1e-9);
    CHECK_THROWS_WITH(correct_open_short_load(raw, open, open, match, s), Contains("two of the three standards"));
  }
}

TEST_CASE("the caveats of what corrects go along, with a word for what they are of") {
  const auto plain = [](double) { return network::Chain{}; };
  OnePort open = seen(
      band, [](double) { return cdouble(1e9); }, plain);
  OnePort shorted = seen(
      band, [](double) { return cdouble(0.0); }, plain);
  OnePort match = seen(
      band, [](double) { return cdouble(50.0); }, plain);
  open.caveats = {{FindingKind::above_one, 3, 5e6, 1, "invented"},
                  {FindingKind::high_reflection, 3, 5e6, 1, "so it is"}};
  shorted.caveats = {{FindingKind::jump, 3, 5e6, 1, "invented"}};
  match.caveats = {{FindingKind::duplicate, 3, 5e6, 1, "invented"}};
  const OnePort corrected = correct_open_short_load(seen(band, whip, plain), open, shorted, match);
  REQUIRE(corrected.caveats.size() == 3);
  CHECK(corrected.caveats[0].text == "open: invented");
  CHECK(corrected.caveats[1].text == "short: invented");
  CHECK(corrected.caveats[2].text == "match: invented");
  OnePort cable = seen(
      steps(3e6, 30e6, 136), [](double) { return cdouble(1e12); },
      [](double f) { return network::chain(line("RG-58", 4.0), f); });
  cable.caveats = {{FindingKind::order, 3, 5e6, 1, "invented"}, {FindingKind::cable, 0, 0.0, 1, "it is one"}};
  const EstimatedLine estimate = estimate_line(cable, FarEnd::open, 50.0, 0.66);
  REQUIRE(estimate.caveats.size() == 1);
  CHECK(estimate.caveats[0].text == "cable: invented");
}

TEST_CASE("a port extension undoes a lossless line of the reference impedance to 1e-9") {
  const double delay = 7e-9;
  const OnePort raw = seen(band, whip, [&](double f) {
    return network::line_chain(network::lossless_line(50.0, 0.7, f), delay * 0.7 * speed_of_light_m_s);
  });
  CHECK(worst(extend_port(raw, delay), whip) <= 1e-9);
  CHECK(worst(extend_port(extend_port(raw, delay), -delay), [&](double f) {
          const std::array<network::Chain, 1> parts{
              network::line_chain(network::lossless_line(50.0, 0.7, f), delay * 0.7 * speed_of_light_m_s)};
          return network::input_impedance(parts, whip(f));
        }) <= 1e-9);
}

TEST_CASE("the uncertainty that a correction states is what noise does, within a tenth") {
  // 400 readings of one point with noise of 0.001 in each part of S11, through 10 m of line.
  network::Ladder cable;
  cable.elements.push_back(line("RG-58", 10.0));
  const double f = 7e6;
  const std::array<network::Chain, 1> parts{network::chain(cable.elements.front(), f)};
  const cdouble z = network::input_impedance(parts, whip(f)), s = (z - 50.0) / (z + 50.0);
  std::mt19937_64 source(3);
  std::normal_distribution<double> normal(0.0, 1e-3);
  OnePort raw;
  double stated = 0.0, squares = 0.0;
  for (int i = 0; i < 400; ++i) {
    const cdouble noisy = s + cdouble(normal(source), normal(source)), zn = 50.0 * (1.0 + noisy) / (1.0 - noisy);
    raw.frequency_hz = {f};
    raw.z_ohm = {zn};
    raw.uncertainty_ohm = {std::norm(zn + 50.0) / 100.0 * 1e-3};
    raw.marked = {false};
    const OnePort corrected = remove_ladder(raw, cable);
    stated += corrected.uncertainty_ohm[0] / 400.0;
    squares += std::norm(corrected.z_ohm[0] - whip(f)) / 800.0;
  }
  CHECK(stated == Approx(std::sqrt(squares)).epsilon(0.1));
}

TEST_CASE("a correction that makes the error grow says so") {
  network::Ladder cable;
  cable.elements.push_back(line("RG-174", 160.0));  // more than 7 dB: the reflection's error grows by twice that
  const OnePort raw = seen(band, whip, [&](double f) { return chain_of(cable, f); });
  const OnePort corrected = remove_ladder(raw, cable);
  CHECK(has(corrected.caveats, FindingKind::ill_conditioned));
  network::Ladder short_cable;
  short_cable.elements.push_back(line("RG-58", 1.0));
  CHECK_FALSE(
      has(remove_ladder(seen(band, whip, [&](double f) { return chain_of(short_cable, f); }), short_cable).caveats,
          FindingKind::ill_conditioned));
}

TEST_CASE("a correction says so from five times the error on") {
  // A line of 50 ohm without distortion whose loss is all: S comes back 10^(loss/10) times, 4.898 of 6.9 and 5.129 of
  // 7.1 dB.
  for (const double loss_db : {6.9, 7.1}) {
    const double alpha = loss_db / 8.685889638;
    network::Ladder pad;
    network::Element e;
    e.place = network::Place::cascade;
    e.part = network::TransmissionLine{network::Rlgc{alpha * 50.0, 50.0 / 3e8, alpha / 50.0, 1.0 / (50.0 * 3e8)}, 1.0};
    pad.elements.push_back(e);
    const OnePort raw = seen(band, whip, [&](double f) { return chain_of(pad, f); });
    const OnePort corrected = remove_ladder(raw, pad);
    INFO(loss_db);
    CHECK(has(corrected.caveats, FindingKind::ill_conditioned) == (loss_db > 7.0));
    if (loss_db < 7.0) continue;
    const Finding& f = found(corrected.caveats, FindingKind::ill_conditioned);
    CHECK(f.count == band.size());
    CHECK_THAT(f.text, Catch::Contains("grow more than 5 times at 41 points, 5.13 times at"));
  }
}

namespace {

/// rms of each part of what many draws give, less the truth: the larger of R's and X's; and the mean of what is stated.
struct Spread {
  double r = 0.0, x = 0.0, stated = 0.0;
  std::size_t draws = 0;
  void add(cdouble off, double uncertainty) {
    r += off.real() * off.real(), x += off.imag() * off.imag(), stated += uncertainty;
    ++draws;
  }
  double larger() const { return std::sqrt(std::max(r, x) / static_cast<double>(draws)); }
  double said() const { return stated / static_cast<double>(draws); }
};

OnePort with_noise(OnePort port, double noise, std::mt19937_64& source) {
  std::normal_distribution<double> normal(0.0, 1.0);
  for (std::size_t i = 0; i < port.z_ohm.size(); ++i) {
    const double a = noise * normal(source), b = noise * normal(source);
    const cdouble s = (port.z_ohm[i] - 50.0) / (port.z_ohm[i] + 50.0) + cdouble(a, b);
    port.z_ohm[i] = 50.0 * (1.0 + s) / (1.0 - s);
    port.uncertainty_ohm[i] = noise * std::norm(port.z_ohm[i] + 50.0) / 100.0;
  }
  return port;
}

Sweep two_port(const std::vector<double>& f, const std::function<network::Chain(double)>& chain_at) {
  Sweep file;
  file.file = "adapter.s2p";
  file.ports = 2;
  file.reference_ohm = {50.0, 50.0};
  for (const double hz : f) {
    const auto s = network::to_scattering(chain_at(hz), network::WaveDefinition::power, 50.0, 50.0);
    file.frequency_hz.push_back(hz);
    file.line.push_back(file.line.size() + 2);
    for (const cdouble v : {s.s11, s.s12, s.s21, s.s22}) file.values.push_back(v);
  }
  return file;
}

}  // namespace

TEST_CASE(
    "the adapter's own error is in the uncertainty within a tenth of what noise does, and named where it is most") {
  const network::Ladder between = some_ladder();
  const auto f = steps(6.9e6, 7.3e6, 41);
  const auto chain_at = [&](double hz) { return chain_of(between, hz); };
  const Sweep clean = two_port(f, chain_at);
  std::mt19937_64 source(21);
  std::normal_distribution<double> normal(0.0, 1.0);
  for (const bool one_path : {false, true}) {
    Spread spread;
    bool named = true;
    for (int trial = 0; trial < 300; ++trial) {
      Sweep noisy = clean;
      for (cdouble& v : noisy.values) {
        const double a = 1e-3 * normal(source), b = 1e-3 * normal(source);
        v += cdouble(a, b);
      }
      if (one_path)
        for (std::size_t i = 0; i < f.size(); ++i) noisy.values[4 * i + 1] = 0.0;
      const OnePort raw = with_noise(seen(f, whip, chain_at), 2e-4, source);
      const OnePort corrected = remove_adapter(raw, adapter(noisy, 1e-3));
      for (const std::size_t i : {std::size_t{3}, std::size_t{20}, std::size_t{36}}) {
        const double scale = std::abs(whip(f[i]) + 50.0);
        spread.add((corrected.z_ohm[i] - whip(f[i])) / (scale * scale), corrected.uncertainty_ohm[i] / (scale * scale));
      }
      named = named && std::any_of(corrected.caveats.begin(), corrected.caveats.end(), [](const Finding& c) {
                return c.text.find("the adapter's own error is most of the uncertainty at 41 of 41 points") == 0;
              });
    }
    INFO((one_path ? "one path: " : "both: ") << spread.said() << " stated, " << spread.larger());
    CHECK(spread.said() == Approx(spread.larger()).epsilon(0.1));
    CHECK(named);
  }
  // An adapter whose error is not known leaves that of the result unknown.
  const Sweep few = two_port(steps(6.9e6, 7.3e6, 5), chain_at);
  for (const double u : remove_adapter(seen(steps(6.9e6, 7.3e6, 3), whip, chain_at), adapter(few)).uncertainty_ohm)
    CHECK(std::isnan(u));
}

TEST_CASE("open, short and load hand their noise on, within a tenth of what it does") {
  const auto f = std::vector<double>{7e6, 7.1e6, 7.3e6};
  network::Ladder before;
  before.elements.push_back(line("RG-58", 3.0));
  const auto chain_at = [&](double hz) { return chain_of(before, hz); };
  const OnePort open = seen(
      f, [](double) { return cdouble(1e12); }, chain_at);
  const OnePort shorted = seen(
      f, [](double) { return cdouble(0.0); }, chain_at);
  const OnePort match = seen(
      f, [](double) { return cdouble(50.0); }, chain_at);
  const OnePort raw = seen(f, whip, chain_at);
  std::mt19937_64 source(23);
  for (std::size_t i = 0; i < f.size(); ++i) {
    Spread spread;
    for (int trial = 0; trial < 400; ++trial) {
      const OnePort corrected =
          correct_open_short_load(with_noise(raw, 5e-4, source), with_noise(open, 5e-4, source),
                                  with_noise(shorted, 5e-4, source), with_noise(match, 5e-4, source));
      spread.add(corrected.z_ohm[i] - whip(f[i]), corrected.uncertainty_ohm[i]);
    }
    INFO(f[i] << " Hz: " << spread.said() << " stated, " << spread.larger());
    CHECK(spread.said() == Approx(spread.larger()).epsilon(0.1));
  }
}

TEST_CASE("of 400 noisy sweeps of a cable 95 +- 3 % hold delay and loss, and what it is removed from has its error") {
  const network::Cable type{"invented", 50.0, 0.66, 0.011, 0.0004, "invented"};
  network::Element part;
  part.place = network::Place::cascade;
  part.part = network::TransmissionLine{type, 4.2};
  network::Ladder cable;
  cable.elements.push_back(part);
  const auto chain_at = [&](double hz) { return chain_of(cable, hz); };
  const auto f = steps(3e6, 30e6, 61);
  const OnePort alone = seen(
      f, [](double) { return cdouble(1e12); }, chain_at);
  const OnePort raw = seen({6.8e6, 7.1e6, 7.4e6}, whip, chain_at);
  const double delay = 4.2 / (0.66 * speed_of_light_m_s), loss = 4.2 * (0.011 * std::sqrt(10.0) + 0.0004 * 10.0);
  std::mt19937_64 source(29);
  int delays = 0, losses = 0;
  std::array<Spread, 3> spread;
  bool named = true;
  for (int trial = 0; trial < 400; ++trial) {
    const EstimatedLine estimate = estimate_line(with_noise(alone, 2e-3, source), FarEnd::open, 50.0, 0.66);
    delays += std::abs(estimate.delay_s - delay) <= estimate.delay_uncertainty_s;
    losses += std::abs(estimate.loss_db_at_10mhz - loss) <= estimate.loss_uncertainty_db_at_10mhz;
    const OnePort corrected = remove_line(with_noise(raw, 5e-5, source), estimate);
    for (std::size_t i = 0; i < 3; ++i)
      spread[i].add(corrected.z_ohm[i] - whip(corrected.frequency_hz[i]), corrected.uncertainty_ohm[i]);
    named = named && std::any_of(corrected.caveats.begin(), corrected.caveats.end(), [](const Finding& c) {
              return c.text.find("the estimated cable's own error is most of the uncertainty at ") == 0;
            });
  }
  CHECK(delays >= 368);
  CHECK(delays <= 392);
  CHECK(losses >= 368);
  CHECK(losses <= 392);
  CHECK(named);
  for (const Spread& s : spread) {
    INFO(s.said() << " stated, " << s.larger());
    CHECK(s.said() == Approx(s.larger()).epsilon(0.1));
  }
}

TEST_CASE(
    "behind an estimated cable 95 +- 3 % of 400 fits hold the truth, because the cable's error is one for all points") {
  const network::Cable type{"invented", 50.0, 0.66, 0.011, 0.0004, "invented"};
  const auto cable = [&](double hz) { return network::line_chain(network::line_from_cable(type, hz), 4.2); };
  const OnePort alone = seen(
      steps(3e6, 30e6, 41), [](double) { return cdouble(1e12); }, cable);
  const std::vector<double> truth{12.0, 20e-6, 1.0 / (std::pow(two_pi * 7.1e6, 2) * 20e-6)};
  const OnePort raw = seen(steps(6.6e6, 7.6e6, 41), whip, cable);
  std::mt19937_64 source(37);
  std::array<int, 3> inside{}, alone_inside{};
  for (int trial = 0; trial < 400; ++trial) {
    const EstimatedLine line = estimate_line(with_noise(alone, 2e-3, source), FarEnd::open, 50.0, 0.66);
    OnePort corrected = remove_line(with_noise(raw, 1e-4, source), line);
    CHECK(corrected.common_ohm.size() == line.covariance.size());
    const Fit found = fit(corrected, Model::series_rlc);
    corrected.common_ohm.clear();
    const Fit without = fit(corrected, Model::series_rlc);
    REQUIRE(found.status == FitStatus::fitted);
    for (std::size_t k = 0; k < 3; ++k) {
      inside[k] += std::abs(found.parameters[k].value - truth[k]) <= found.parameters[k].uncertainty ? 1 : 0;
      alone_inside[k] += std::abs(without.parameters[k].value - truth[k]) <= without.parameters[k].uncertainty ? 1 : 0;
    }
  }
  for (std::size_t k = 0; k < 3; ++k) {
    INFO("parameter " << k << ": " << inside[k] << ", without the cable's error " << alone_inside[k]);
    CHECK(inside[k] >= 368);
    CHECK(inside[k] <= 392);
    CHECK(alone_inside[k] < 350);
  }
}

TEST_CASE("an instrument's error that a cable's sweep and what is measured through it share is one: 95 +- 3 % of 400 "
          "fits hold the truth") {
  const network::Cable type{"invented", 50.0, 0.66, 0.011, 0.0004, "invented"};
  const auto cable = [&](double hz) { return network::line_chain(network::line_from_cable(type, hz), 4.2); };
  const auto f = steps(6.6e6, 7.6e6, 41), wide = steps(3e6, 30e6, 41);
  const std::vector<double> truth{12.0, 20e-6, 1.0 / (std::pow(two_pi * 7.1e6, 2) * 20e-6)};
  constexpr double error = 2e-3;
  JudgeOptions stated;
  stated.instrument_error = error;
  stated.keep_open = true;
  std::mt19937_64 source(53);
  std::normal_distribution<double> normal(0.0, 1.0);
  const auto read = [&](const std::vector<double>& at, const std::function<cdouble(double)>& z,
                        const std::array<cdouble, 3>& e) {
    Sweep sweep = measured(at, [](double) { return cdouble(50.0); });
    const OnePort clean = seen(at, z, cable);
    for (std::size_t i = 0; i < at.size(); ++i) {
      const cdouble s = (clean.z_ohm[i] - 50.0) / (clean.z_ohm[i] + 50.0);
      const double a = 1e-4 * normal(source), b = 1e-4 * normal(source);
      sweep.values[i] = e[0] + (1.0 + e[1]) * s / (1.0 - e[2] * s) + cdouble(a, b);
    }
    return port_of(sweep, stated);
  };
  const auto drawn = [&](double size) {
    std::array<cdouble, 3> e{};
    for (cdouble& each : e) {
      const double a = size * normal(source), b = size * normal(source);
      each = {a, b};
    }
    return e;
  };
  const auto as_another = [](EstimatedLine line) {  // as if another instrument had swept the cable
    for (LineShift& shift : line.shared) shift.of = "another " + shift.of;
    return line;
  };
  for (const FarEnd end : {FarEnd::open, FarEnd::shorted}) {
    const auto at_end = [&](double) { return end == FarEnd::open ? cdouble(1e12) : cdouble(0.0); };
    std::array<int, 3> inside{};
    int two_inside = 0;
    double width = 0.0, two_width = 0.0;
    for (int trial = 0; trial < 400; ++trial) {
      const std::array<cdouble, 3> e = drawn(error);
      const OnePort alone = read(wide, at_end, e), raw = read(f, whip, e);
      const EstimatedLine estimate = estimate_line(alone, end, 50.0, 0.66);
      REQUIRE(estimate.shared.size() == 6);
      const OnePort one = remove_line(raw, estimate), two = remove_line(raw, as_another(estimate));
      CHECK(one.common_ohm.size() == 6 + estimate.covariance.size());
      CHECK(two.common_ohm.size() == 12 + estimate.covariance.size());
      const Fit found = fit(one, Model::series_rlc), of_two = fit(two, Model::series_rlc);
      REQUIRE(found.status == FitStatus::fitted);
      const auto holds = [&](const Fit& each, std::size_t k) {
        return std::abs(each.parameters[k].value - truth[k]) <= each.parameters[k].uncertainty ? 1 : 0;
      };
      for (std::size_t k = 0; k < 3; ++k) inside[k] += holds(found, k);
      two_inside += holds(of_two, 0);
      width += found.parameters[0].uncertainty, two_width += of_two.parameters[0].uncertainty;
    }
    INFO("held " << inside[0] << " " << inside[1] << " " << inside[2] << ", R as of two errors " << two_inside
                 << "; its interval wider by " << two_width / width);
    for (const int count : inside) {
      CHECK(count >= 368);
      CHECK(count <= 392);
    }
    CHECK(two_inside > 392);
    CHECK(two_width > 1.3 * width);
    // In a point's uncertainty the three errors count together as the stated one.
    const OnePort clean = seen(f, whip, cable);
    for (const std::size_t i : {std::size_t{0}, std::size_t{20}, std::size_t{40}}) {
      const double s = std::abs((clean.z_ohm[i] - 50.0) / (clean.z_ohm[i] + 50.0));
      Spread spread;
      for (int trial = 0; trial < 400; ++trial) {
        const std::array<cdouble, 3> e = drawn(error / std::sqrt(1.0 + s * s + std::pow(s, 4)));
        const OnePort alone = read(wide, at_end, e), raw = read(f, whip, e);
        const OnePort one = remove_line(raw, estimate_line(alone, end, 50.0, 0.66));
        spread.add(one.z_ohm[i] - whip(f[i]), one.uncertainty_ohm[i]);
      }
      INFO(f[i] << " Hz: " << spread.said() << " stated, " << spread.larger());
      CHECK(spread.said() == Approx(spread.larger()).epsilon(0.1));
    }
  }
}

TEST_CASE("behind an adapter measured with an error that is one for all points 95 +- 3 % of 400 fits hold the truth") {
  const network::Ladder between = some_ladder();
  const auto chain_at = [&](double hz) { return chain_of(between, hz); };
  const auto f = steps(6.6e6, 7.6e6, 41);
  const Sweep clean = two_port(f, chain_at);
  const OnePort raw = seen(f, whip, chain_at);
  const std::vector<double> truth{12.0, 20e-6, 1.0 / (std::pow(two_pi * 7.1e6, 2) * 20e-6)};
  std::mt19937_64 source(43);
  std::normal_distribution<double> normal(0.0, 1.0);
  std::array<int, 3> inside{}, alone_inside{};
  for (int trial = 0; trial < 400; ++trial) {
    Sweep file = clean;
    std::array<cdouble, 4> off;
    for (cdouble& each : off) {
      const double a = 2e-3 * normal(source), b = 2e-3 * normal(source);
      each = {a, b};
    }
    for (std::size_t i = 0; i < file.values.size(); ++i) file.values[i] += off[i % 4];
    OnePort corrected = remove_adapter(with_noise(raw, 1e-4, source), adapter(file, 2e-3));
    CHECK(corrected.common_ohm.size() == 8);
    const Fit with = fit(corrected, Model::series_rlc);
    corrected.common_ohm.clear();
    const Fit without = fit(corrected, Model::series_rlc);
    REQUIRE(with.status == FitStatus::fitted);
    for (std::size_t k = 0; k < 3; ++k) {
      inside[k] += std::abs(with.parameters[k].value - truth[k]) <= with.parameters[k].uncertainty ? 1 : 0;
      alone_inside[k] += std::abs(without.parameters[k].value - truth[k]) <= without.parameters[k].uncertainty ? 1 : 0;
    }
  }
  for (std::size_t k = 0; k < 3; ++k) {
    INFO("parameter " << k << ": " << inside[k] << ", without the adapter's error " << alone_inside[k]);
    CHECK(inside[k] >= 368);
    CHECK(inside[k] <= 392);
    CHECK(alone_inside[k] < 350);
  }
}

TEST_CASE("open, short and load must be the first correction, else what an earlier one left uncertain would be lost") {
  const network::Ladder between = some_ladder();
  const auto chain_at = [&](double hz) { return chain_of(between, hz); };
  const auto f = steps(6.9e6, 7.3e6, 9);
  const auto standard = [&](cdouble z) {
    return seen(
        f, [z](double) { return z; }, chain_at);
  };
  const OnePort open = standard(1e12), shorted = standard(0.0), match = standard(50.0);
  OnePort raw = seen(f, whip, chain_at);
  raw.name = "whip.s1p";
  CHECK_NOTHROW(correct_open_short_load(raw, open, shorted, match));
  const auto refuses = [&](const OnePort& before) {
    CHECK_THROWS_AS(correct_open_short_load(before, open, shorted, match), DomainError);
    CHECK_THROWS_WITH(
        correct_open_short_load(before, open, shorted, match),
        Contains("\"whip.s1p\" has been corrected before: open, short and load must be the first correction"));
  };
  refuses(remove_adapter(raw, adapter(two_port(f, chain_at), 2e-3)));
  refuses(remove_ladder(raw, between));
  refuses(extend_port(raw, 1e-9));
  refuses(correct_open_short_load(raw, open, shorted, match));
  CHECK_THROWS_AS(correct_open_short_load(raw, open, remove_ladder(shorted, between), match), DomainError);
  // After them an adapter's own error stays.
  CHECK(remove_adapter(correct_open_short_load(raw, open, shorted, match), adapter(two_port(f, chain_at), 2e-3))
            .common_ohm.size() == 8);
}

TEST_CASE("errors that points share are one where their names are: an adapter met twice moves twice as far") {
  const network::Ladder between = some_ladder();
  const auto chain_at = [&](double hz) { return chain_of(between, hz); };
  const auto f = steps(6.9e6, 7.3e6, 9);
  JudgeOptions stated;
  stated.instrument_error = 1e-3;
  OnePort raw = port_of(measured(f, whip), stated);
  REQUIRE(raw.common_ohm.size() == 6);
  CHECK(raw.common_ohm[0].of == "instrument: directivity, in phase");
  CHECK(raw.common_ohm[5].of == "instrument: match, in quadrature");
  Adapter one = adapter(two_port(f, chain_at), 2e-3), other = one;
  one.name = "one.s2p", other.name = "other.s2p";
  const OnePort once = remove_adapter(raw, one), twice = remove_adapter(once, one), both = remove_adapter(once, other);
  REQUIRE(once.common_ohm.size() == 14);
  CHECK(once.common_ohm[6].of == "adapter one.s2p: S11, in phase");
  CHECK(twice.common_ohm.size() == 14);
  REQUIRE(both.common_ohm.size() == 22);
  CHECK(both.common_ohm[14].of == "adapter other.s2p: S11, in phase");
  for (std::size_t k = 0; k < 8; ++k)
    for (std::size_t i = 0; i < f.size(); ++i)
      CHECK(
          std::abs(twice.common_ohm[6 + k].ohm[i] - (both.common_ohm[6 + k].ohm[i] + both.common_ohm[14 + k].ohm[i])) <=
          1e-12 * std::abs(twice.common_ohm[6 + k].ohm[i]));
}

TEST_CASE("of 400 fits behind open, short and load 95 +- 3 % hold the truth, because an error that all sweeps share is "
          "gone") {
  const std::vector<double> truth{12.0, 20e-6, 1.0 / (std::pow(two_pi * 7.1e6, 2) * 20e-6)};
  std::mt19937_64 source(41);
  std::normal_distribution<double> normal(0.0, 1.0);
  JudgeOptions stated;
  stated.instrument_error = 0.01;
  stated.keep_open = true;
  for (const std::size_t points :
       {std::size_t{161}, std::size_t{41}}) {  // of the standards: at the same places, and fewer
    std::array<int, 3> inside{};
    Spread spread;
    for (int trial = 0; trial < 400; ++trial) {
      std::array<cdouble, 3> e{};
      for (cdouble& each : e) {
        const double a = 0.01 * normal(source), b = 0.01 * normal(source);
        each = {a, b};
      }
      const auto read = [&](const std::vector<double>& f, const std::function<cdouble(double)>& reflection) {
        Sweep sweep = measured(f, [](double) { return cdouble(50.0); });
        for (std::size_t i = 0; i < f.size(); ++i) {
          const cdouble s = reflection(f[i]);
          const double a = 2e-4 * normal(source), b = 2e-4 * normal(source);
          sweep.values[i] = e[0] + (1.0 + e[1]) * s / (1.0 - e[2] * s) + cdouble(a, b);
        }
        return port_of(sweep, stated);
      };
      const auto f = steps(6.6e6, 7.6e6, 161), standard = steps(6.6e6, 7.6e6, points);
      const OnePort corrected = correct_open_short_load(
          read(f, [](double hz) { return (whip(hz) - 50.0) / (whip(hz) + 50.0); }),
          read(standard, [](double) { return cdouble(1.0); }), read(standard, [](double) { return cdouble(-1.0); }),
          read(standard, [](double) { return cdouble(0.0); }));
      CHECK(corrected.common_ohm.empty());
      spread.add(corrected.z_ohm[80] - whip(f[80]), corrected.uncertainty_ohm[80]);
      const Fit found = fit(corrected, Model::series_rlc);
      REQUIRE(found.status == FitStatus::fitted);
      for (std::size_t k = 0; k < 3; ++k)
        inside[k] += std::abs(found.parameters[k].value - truth[k]) <= found.parameters[k].uncertainty ? 1 : 0;
    }
    INFO(points << " points of the standards: " << spread.said() << " stated, " << spread.larger());
    CHECK(spread.said() == Approx(spread.larger()).epsilon(0.1));
    for (const int count : inside) {
      CHECK(count >= 368);
      CHECK(count <= 392);
    }
  }
}

TEST_CASE("what a straight line between few points of the standards misses is in the uncertainty, and said") {
  // Standards and load behind 5 m of cable, whose delay T turns a reflection by 4 pi T a hertz: over a step d a
  // straight line misses at most d^2/8 of the second derivative, (4 pi T)^2.
  const network::Cable type{"invented", 50.0, 0.66, 0.011, 0.0004, "invented"};
  const auto at = [&](double hz) { return network::line_chain(network::line_from_cable(type, hz), 5.0); };
  const double delay_s = 5.0 / (0.66 * speed_of_light_m_s);
  JudgeOptions options;
  options.keep_open = true;
  std::mt19937_64 source(47);
  std::normal_distribution<double> normal(0.0, 1.0);
  const auto read = [&](const std::vector<double>& f, const std::function<cdouble(double)>& z) {
    Sweep sweep = measured(f, [](double) { return cdouble(50.0); });
    for (std::size_t i = 0; i < f.size(); ++i) {
      const network::Chain m = at(f[i]);
      const cdouble load = z(f[i]), seen_ohm = (m.a * load + m.b) / (m.c * load + m.d);
      const double a = 1e-4 * normal(source), b = 1e-4 * normal(source);
      sweep.values[i] = (seen_ohm - 50.0) / (seen_ohm + 50.0) + cdouble(a, b);
    }
    return port_of(sweep, options);
  };
  const auto f = steps(5e6, 10e6, 501);
  const auto corrected_with = [&](std::size_t points) {
    const auto standard = steps(5e6, 10e6, points);
    // One after the other, so that each compiler draws the same noise.
    const OnePort raw = read(f, whip), open = read(standard, [](double) { return cdouble(1e9); }),
                  shorted = read(standard, [](double) { return cdouble(0.0); }),
                  match = read(standard, [](double) { return cdouble(50.0); });
    return correct_open_short_load(raw, open, shorted, match);
  };
  const auto worst_over_said = [&](const OnePort& port) {
    double squares = 0.0;
    for (std::size_t i = 0; i < f.size(); ++i)
      squares += std::norm(port.z_ohm[i] - whip(f[i])) / (2.0 * std::pow(port.uncertainty_ohm[i], 2));
    return std::sqrt(squares / static_cast<double>(f.size()));
  };
  const OnePort few = corrected_with(26), many = corrected_with(501);
  const double missed = std::pow(4.0 * pi * delay_s * 2e5, 2) / 8.0;
  REQUIRE(missed > 3e-4);  // much more than the noise, so that it is seen
  // What is booked for it is no more than the line can miss at the place of one standard for each of three, and not a
  // trifle.
  double most_bent = 0.0;
  for (std::size_t i = 0; i < f.size(); ++i)
    most_bent =
        std::max(most_bent, std::abs(few.common_ohm.back().ohm[i]) * 2.0 * 50.0 / std::norm(few.z_ohm[i] + 50.0));
  CHECK(most_bent <= 3.0 * missed);
  CHECK(most_bent >= missed / 3.0);
  // The errors are as large as said.
  CHECK(worst_over_said(few) < 1.1);
  CHECK(worst_over_said(few) > 0.4);
  CHECK(worst_over_said(many) == Approx(1.0).epsilon(0.15));
  REQUIRE(has(few.caveats, FindingKind::few_points));
  CHECK_THAT(found(few.caveats, FindingKind::few_points).text, Contains("the standards have too few points"));
  CHECK(!few.common_ohm.empty());
  CHECK(!few.local_ohm.empty());
  // Noise is what is left of the uncertainty without the bends.
  REQUIRE(few.noise_ohm.size() == f.size());
  std::size_t bent = 0;
  for (std::size_t i = 0; i < f.size(); ++i) {
    CHECK(few.noise_ohm[i] <= few.uncertainty_ohm[i]);
    const double off = std::hypot(few.noise_ohm[i], std::abs(few.common_ohm.back().ohm[i]));
    CHECK(off == Approx(few.uncertainty_ohm[i]).epsilon(1e-9));
    if (few.noise_ohm[i] < 0.5 * few.uncertainty_ohm[i]) ++bent;
    CHECK(many.noise_ohm[i] == Approx(many.uncertainty_ohm[i]).epsilon(1e-12));
  }
  CHECK(bent > f.size() / 2);
  CHECK(!has(many.caveats, FindingKind::few_points));
  CHECK(many.common_ohm.empty());
  CHECK(many.local_ohm.empty());
  // Fits behind them hold the truth as often as said.
  const std::vector<double> truth{12.0, 20e-6, 1.0 / (std::pow(two_pi * 7.1e6, 2) * 20e-6)};
  const Fit of_few = fit(few, Model::series_rlc);
  REQUIRE(of_few.status == FitStatus::fitted);
  std::array<int, 3> held{};
  for (int n = 0; n < 40; ++n) {
    const Fit again = fit(corrected_with(26), Model::series_rlc);
    for (std::size_t k = 0; k < 3; ++k)
      held[k] += std::abs(again.parameters[k].value - truth[k]) <= again.parameters[k].uncertainty ? 1 : 0;
  }
  for (const int count : held) CHECK(count >= 36);  // 38 of 40 are expected
}

TEST_CASE("a cable of another impedance than stated is told, and its uncertainties widen") {
  const auto at = [](double z0) {
    return [cable = network::Cable{"invented", z0, 0.66, 0.011, 0.0004, "invented"}](double hz) {
      return network::line_chain(network::line_from_cable(cable, hz), 4.2);
    };
  };
  const auto f = steps(3e6, 30e6, 136);
  std::mt19937_64 source(31);
  const auto open = [](double) { return cdouble(1e12); };
  const EstimatedLine right =
      estimate_line(with_noise(seen(f, open, at(50.0)), 2e-4, source), FarEnd::open, 50.0, 0.66);
  const EstimatedLine wrong =
      estimate_line(with_noise(seen(f, open, at(53.0)), 2e-4, source), FarEnd::open, 50.0, 0.66);
  CHECK(right.caveats.empty());
  REQUIRE(wrong.caveats.size() == 1);
  CHECK_THAT(wrong.caveats[0].text, Contains("another impedance than 50 ohm"));
  CHECK(wrong.delay_uncertainty_s > 5.0 * right.delay_uncertainty_s);
}

TEST_CASE("a cable is estimated from its open or shorted end, and removed") {
  const network::Cable type{"invented", 50.0, 0.66, 0.011, 0.0004, "invented"};
  network::Element part;
  part.place = network::Place::cascade;
  part.part = network::TransmissionLine{type, 4.2};
  network::Ladder cable;
  cable.elements.push_back(part);
  const auto f = steps(3e6, 30e6, 136);
  for (const FarEnd end : {FarEnd::open, FarEnd::shorted}) {
    const auto at_end = [&](double) { return end == FarEnd::open ? cdouble(1e12) : cdouble(0.0); };
    const OnePort alone = seen(f, at_end, [&](double hz) { return chain_of(cable, hz); });
    const EstimatedLine estimate = estimate_line(alone, end, 50.0, 0.66);
    CHECK(estimate.length_m == Approx(4.2).epsilon(1e-5));
    const double truth = 4.2 * (0.011 * std::sqrt(10.0) + 0.0004 * 10.0);
    CHECK(std::abs(estimate.loss_db_at_10mhz - truth) <= 1e-5 * truth);
    const OnePort raw = seen(f, whip, [&](double hz) { return chain_of(cable, hz); });
    const OnePort corrected = remove_line(raw, estimate);
    for (std::size_t i = 0; i < f.size(); ++i) {
      const cdouble a = (corrected.z_ohm[i] - 50.0) / (corrected.z_ohm[i] + 50.0),
                    b = (whip(f[i]) - 50.0) / (whip(f[i]) + 50.0);
      CHECK(std::abs(a - b) <= 1e-5);
    }
  }
  CHECK_THROWS_AS(
      estimate_line(seen({1e6, 2e6}, whip, [](double) { return network::Chain{}; }), FarEnd::open, 50.0, 0.66),
      DomainError);
}

TEST_CASE("another reference, in the definition named") {
  const OnePort port = seen(
      {7e6}, [](double) { return cdouble(30.0, 40.0); }, [](double) { return network::Chain{}; });
  using network::WaveDefinition;
  const cdouble z(30.0, 40.0), ref(30.0, -40.0);
  CHECK(std::abs(renormalised_reflection(port, ref, WaveDefinition::power)[0]) <= 1e-15);
  CHECK(std::abs(renormalised_reflection(port, z, WaveDefinition::pseudo)[0]) <= 1e-15);
  CHECK(std::abs(renormalised_reflection(port, z, WaveDefinition::travelling)[0]) <= 1e-15);
}
