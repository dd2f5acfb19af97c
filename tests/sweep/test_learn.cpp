#include <array>
#include <random>

#include <catch2/catch.hpp>

#include <stile/base/table.hpp>
#include <stile/network/chain.hpp>
#include <stile/sweep/learn.hpp>

#include "sweep/synthetic.hpp"

using namespace stile;
using namespace stile::sweep;
using namespace stile::sweep::test;

TEST_CASE("loss from the feed resistance and a computed radiation resistance") {
  const FeedLoss f = loss_from_feed_resistance({38.0, 3.0}, {9.0, 0.5}, {4.0, 1.2});
  CHECK(f.loss_ohm.value == Approx(25.0).epsilon(1e-12));
  CHECK(f.loss_ohm.uncertainty == Approx(std::sqrt(9.0 + 0.25 + 1.44)).epsilon(1e-12));
  CHECK(f.efficiency.value == Approx(9.0 / 38.0).epsilon(1e-12));
  CHECK_FALSE(f.contradiction);
  CHECK(loss_from_feed_resistance({8.0, 0.5}, {12.0, 0.5}).contradiction);
  CHECK_THROWS_AS(loss_from_feed_resistance({0.0, 0.5}, {12.0, 0.5}), DomainError);
}

TEST_CASE("the width of a series circuit from its SWR to 1e-9") {
  const double l = 20e-6, f0 = 7.1e6, c = 1.0 / (std::pow(two_pi * f0, 2) * l);
  for (const double r : {12.0, 50.0, 130.0}) {
    const auto swr_at = [&](double f) {
      const cdouble z = series_rlc(r, l, c, f);
      const double g = std::abs((z - 50.0) / (z + 50.0));
      return (1.0 + g) / (1.0 - g);
    };
    // Two frequencies of equal |X| on both sides: f1 f2 = f0^2.
    const double high = 7.19e6, low = f0 * f0 / high;
    const Width w = width_from_swr(low, high, swr_at(high), std::max(r / 50.0, 50.0 / r), r > 50.0);
    CHECK(w.resonance_hz == Approx(f0).epsilon(1e-9));
    CHECK(w.q == Approx(two_pi * f0 * l / r).epsilon(1e-9));
    CHECK(resistance_from_width({l, 0.0}, {w.half_power_hz, 0.0}).value == Approx(r).epsilon(1e-9));
  }
  // A parallel circuit of the same: |X/R| of the one is |B/G| of the other.
  for (const double r : {20.0, 50.0, 700.0}) {
    const double c2 = 400e-12;
    const auto swr_at = [&](double f) {
      const cdouble z = 1.0 / cdouble(1.0 / r, two_pi * c2 * (f - f0 * f0 / f));
      const double g = std::abs((z - 50.0) / (z + 50.0));
      return (1.0 + g) / (1.0 - g);
    };
    const double high = 7.9e6;
    const Width w = width_from_swr(f0 * f0 / high, high, swr_at(high), std::max(r / 50.0, 50.0 / r), r > 50.0, true);
    CHECK(w.q == Approx(two_pi * f0 * c2 * r).epsilon(1e-9));
    CHECK(shunt_resistance_from_width({c2, 0.0}, {w.half_power_hz, 0.0}).value == Approx(r).epsilon(1e-9));
  }
  CHECK(shunt_resistance_from_width({4e-10, 4e-12}, {4e5, 8e3}).uncertainty ==
        Approx(1.0 / (two_pi * 4e-10 * 4e5) * std::hypot(0.01, 0.02)).epsilon(1e-12));
  CHECK(resistance_from_width({2e-5, 2e-7}, {1e5, 2e3}).uncertainty ==
        Approx(two_pi * 2.0 * std::hypot(0.01, 0.02)).epsilon(1e-12));
  CHECK_THROWS_AS(width_from_swr(7e6, 7.1e6, 1.2, 1.5, true), DomainError);
}

TEST_CASE("a coil from two resonances with known capacitors") {
  const double l = 22e-6, own = 2.5e-12;
  const auto at = [&](double c) { return 1.0 / (two_pi * std::sqrt(l * (c + own))); };
  const CoilFromResonances coil = coil_from_resonances({at(0.0), 0.0}, {0.0, 0.0}, {at(100e-12), 0.0}, {100e-12, 0.0});
  CHECK(coil.inductance_h.value == Approx(l).epsilon(1e-12));
  CHECK(coil.self_capacitance_f.value == Approx(own).epsilon(1e-10));
  // The uncertainty is what wrong inputs do: 3000 draws, within a tenth.
  std::mt19937_64 source(2);
  std::normal_distribution<double> normal;
  double l2 = 0.0, c2 = 0.0;
  const auto draw = [&](double v, double u) { return Uncertain{v + u * normal(source), u}; };
  for (int i = 0; i < 3000; ++i) {
    const CoilFromResonances c = coil_from_resonances(draw(at(20e-12), 2e3), draw(20e-12, 0.1e-12),
                                                      draw(at(100e-12), 1e3), draw(100e-12, 0.5e-12));
    l2 += std::pow(c.inductance_h.value - l, 2) / 3000.0;
    c2 += std::pow(c.self_capacitance_f.value - own, 2) / 3000.0;
  }
  const CoilFromResonances c =
      coil_from_resonances({at(20e-12), 2e3}, {20e-12, 0.1e-12}, {at(100e-12), 1e3}, {100e-12, 0.5e-12});
  CHECK(c.inductance_h.uncertainty == Approx(std::sqrt(l2)).epsilon(0.1));
  CHECK(c.self_capacitance_f.uncertainty == Approx(std::sqrt(c2)).epsilon(0.1));
  CHECK_THROWS_AS(coil_from_resonances({7e6, 0.0}, {0.0, 0.0}, {8e6, 0.0}, {1e-10, 0.0}), DomainError);
  CHECK(q_from_width({7e6, 0.0}, {35e3, 350.0}).value == Approx(200.0));
  CHECK(q_from_width({7e6, 0.0}, {35e3, 350.0}).uncertainty == Approx(2.0));
}

TEST_CASE("the two SWR readings give the printed losses") {
  const Table rows = read_table(read_text_file(std::string(STILE_TEST_DATA) + "/sweep/tuner_loss_from_swr.csv"), "");
  REQUIRE(rows.rows.size() == 6);
  for (std::size_t i = 0; i < rows.rows.size(); ++i) {
    const double loss = tuner_loss_from_swr_db(rows.number(i, "swr_with_half_R"), rows.number(i, "swr_with_double_R"));
    CHECK(std::abs(loss - rows.number(i, "loss_dB")) <= 5e-6 * std::max(1.0, loss));  // six digits are printed
    CHECK(std::abs(std::pow(10.0, -loss / 10.0) - rows.number(i, "efficiency")) <= 6e-6);
  }
  CHECK_THROWS_AS(tuner_loss_from_swr_db(1.0, 2.0), DomainError);
}

TEST_CASE("of random matched two-ports the two readings give what the power balance gives, to 1e-9") {
  std::mt19937_64 source(4);
  std::uniform_real_distribution<double> uniform(0.0, 1.0);
  int looked_at = 0;
  for (int trial = 0; trial < 300; ++trial) {
    // A lossy T network; the load that it matches to 50 ohm is real only where the last reactance makes it so.
    const cdouble z1(2.0 * uniform(source), 60.0 + 200.0 * uniform(source));
    const cdouble z2(2.0 * uniform(source), -40.0 - 200.0 * uniform(source));
    const std::array<network::Chain, 2> front{network::series_chain(z1), network::shunt_chain(1.0 / z2)};
    const cdouble far = network::far_end_impedance(front, 50.0);
    if (far.real() < 1.0) continue;
    const std::array<network::Chain, 3> tuner{front[0], front[1], network::series_chain(cdouble(0.3, far.imag()))};
    const cdouble r = network::far_end_impedance(tuner, 50.0);
    if (r.real() < 1.0) continue;
    CHECK(std::abs(r.imag()) < 1e-6);
    ++looked_at;
    const auto swr = [&](double load) {
      const cdouble z = network::input_impedance(tuner, load);
      const double g = std::abs((z - 50.0) / (z + 50.0));
      return (1.0 + g) / (1.0 - g);
    };
    const double balance = network::dissipation_loss_db(tuner, r.real());
    const double read = tuner_loss_from_swr_db(swr(0.5 * r.real()), swr(2.0 * r.real()));
    // G = S12 S21 GL / (1 - S22 GL) with GL = +-1/3: the product of the two is exact but for S22.
    const auto s = network::to_scattering(network::cascade(tuner), network::WaveDefinition::power, 50.0, r.real());
    CHECK(std::abs(read - balance - 5.0 * std::log10(std::abs(1.0 - s.s22 * s.s22 / 9.0))) <= 1e-9);
    CHECK(two_port_loss_db(s) == Approx(balance).epsilon(1e-9));
  }
  CHECK(looked_at >= 100);
}

TEST_CASE("the error of reading goes into the tuner's loss") {
  const Uncertain loss = tuner_loss_from_swr_db(Uncertain{1.7, 0.05}, Uncertain{1.7, 0.0});
  const double by_step =
      std::abs(tuner_loss_from_swr_db(1.7 + 1e-6, 1.7) - tuner_loss_from_swr_db(1.7 - 1e-6, 1.7)) / 2e-6;
  CHECK(loss.uncertainty == Approx(0.05 * by_step).epsilon(1e-6));
}

TEST_CASE("a relay that sticks, one that is open and a wrong part are told apart") {
  const double w = two_pi * 7e6;
  const cdouble base(0.4, 2.0);
  const auto with = [&](double l) { return base + cdouble(w * l / 120.0, w * l); };
  const std::vector<RelayReading> readings{{0.1e-6, with(0.1e-6)},
                                           {0.2e-6, base + cdouble(0.0, 0.05)},
                                           {0.4e-6, cdouble(300.0, -5000.0)},
                                           {0.8e-6, with(1.1e-6)},
                                           {1.6e-6, with(1.55e-6)}};
  const auto verdicts = judge_relays(false, base, readings, 7e6, 0.1, 0.1);
  REQUIRE(verdicts.size() == 5);
  CHECK(verdicts[0].state == RelayState::works);
  CHECK(verdicts[1].state == RelayState::no_change);
  CHECK(verdicts[2].state == RelayState::open);
  CHECK(verdicts[3].state == RelayState::other_value);
  CHECK(verdicts[3].value.value == Approx(1.1e-6).epsilon(1e-9));
  CHECK(verdicts[4].state == RelayState::works);
  const auto across = [&](double c) { return 1.0 / (1.0 / cdouble(1000.0, 0.0) + cdouble(0.0, w * c)); };
  const auto caps = judge_relays(true, 1000.0, {{100e-12, across(101e-12)}, {200e-12, across(1e-12)}}, 7e6, 0.1, 0.05);
  CHECK(caps[0].state == RelayState::works);
  CHECK(caps[1].state == RelayState::no_change);
  CHECK(relay_state_name(RelayState::no_change) == "does not switch");
  CHECK_THROWS_AS(judge_relays(false, base, readings, 0.0, 0.1, 0.1), DomainError);
}

TEST_CASE("a series resistor in front of the instrument belongs to the load") {
  // An ideal 1:7 transformer into 2400 + 50 ohm: no loss, S11 = 0.
  const cdouble s21 = 1.0 / 7.0;
  const network::ScatteringMatrix s{0.0, s21, s21, 0.9, network::WaveDefinition::power, 50.0, 50.0};
  CHECK(std::abs(two_port_loss_db(s, 2400.0)) <= 1e-12);
  CHECK(two_port_loss_db(s) == Approx(20.0 * std::log10(7.0)).epsilon(1e-12));
  const Sweep sweep =
      read_sweep_text("# MHz S RI R 50\n1 0 0 0.142857142857142857 0 0 0 0 0\n2 0.6 0 0.1 0 0 0 0 0\n", "a.s2p");
  const auto all = two_port_losses(sweep, 2400.0);
  REQUIRE(all.size() == 2);
  CHECK(std::abs(all[0].loss_db) <= 1e-9);
  CHECK(all[1].loss_db == Approx(10.0 * std::log10(0.64 / 0.49)).epsilon(1e-9));
  CHECK_THROWS_AS(two_port_losses(read_sweep_text("# MHz S RI R 50\n1 0 0\n", "a.s1p")), Error);
}

TEST_CASE("the loss at a frequency takes the sweep's own uncertainty") {
  OnePort sweep;
  sweep.frequency_hz = {7e6, 7.2e6};
  sweep.z_ohm = {{30.0, 0.0}, {40.0, 0.0}};
  sweep.uncertainty_ohm = {1.0, 2.0};
  const FeedLoss f = loss_at(sweep, 7.1e6, {10.0, 0.0});
  CHECK(f.loss_ohm.value == Approx(25.0).epsilon(1e-12));
  CHECK(f.loss_ohm.uncertainty == Approx(4.0).epsilon(1e-12));
  CHECK_THROWS_AS(loss_at(sweep, 8e6, {10.0, 0.0}), DomainError);
  CHECK(within(100e-12, 0.01).uncertainty == Approx(1e-12));
}

TEST_CASE("a relay's verdict changes where it is said to, worked by hand") {
  // At 1/(2 pi) MHz 1 uH is 1 ohm and 1 uF 1 S. Expected: 1 uH in series, 1 uF across; tolerance 20 %.
  const double f = 1e6 / two_pi;
  const auto coil = [&](double x_ohm, double uncertainty_ohm = 0.0) {
    return judge_relays(false, cdouble(0.5, 2.0), {{1e-6, cdouble(0.5, 2.0 + x_ohm)}}, f, uncertainty_ohm, 0.2)[0];
  };
  const auto capacitor = [&](double b_siemens) {
    const cdouble y(0.1, 0.5);
    return judge_relays(true, 1.0 / y, {{1e-6, 1.0 / (y + cdouble(0.0, b_siemens))}}, f, 0.0, 0.2)[0];
  };
  // No change up to a tenth of what is expected, another value outside 20 %.
  for (const auto& [value, state] : {std::pair{0.09, RelayState::no_change}, std::pair{-0.09, RelayState::no_change},
                                     std::pair{0.11, RelayState::other_value}, std::pair{0.79, RelayState::other_value},
                                     std::pair{0.81, RelayState::works}, std::pair{1.19, RelayState::works},
                                     std::pair{1.21, RelayState::other_value}}) {
    INFO(value);
    CHECK(coil(value).state == state);
    CHECK(capacitor(value).state == state);
    CHECK(coil(value).value.value == Approx(value * 1e-6).epsilon(1e-9));
    CHECK(capacitor(value).value.value == Approx(value * 1e-6).epsilon(1e-9));
  }
  // Open from ten times the reactance expected, where that is ten times the base reading (2.06 ohm) as well.
  CHECK(coil(18.5).state == RelayState::other_value);
  CHECK(coil(18.7).state == RelayState::open);
  // An uncertainty of 0.1 ohm of each reading is 0.141 of the step: three times that reads as no change up to a third
  // of what is expected, and twice that, 0.283, widens what works.
  CHECK(coil(0.32, 0.1).state == RelayState::no_change);
  CHECK(coil(0.34, 0.1).state == RelayState::other_value);
  CHECK(coil(0.52, 0.1).state == RelayState::works);
  CHECK(coil(0.51, 0.1).state == RelayState::other_value);
  CHECK(coil(0.52, 0.1).value.uncertainty == Approx(2.0 * std::sqrt(2.0) * 0.1e-6).epsilon(1e-9));
}

TEST_CASE("states of a relay have their words") {
  CHECK(relay_state_name(RelayState::works) == "works");
  CHECK(relay_state_name(RelayState::no_change) == "does not switch");
  CHECK(relay_state_name(RelayState::open) == "open");
  CHECK(relay_state_name(RelayState::other_value) == "another value");
}

TEST_CASE("a bank's readings come from a table") {
  const RelayTable t =
      read_relays("relay,frequency_mhz,inductance_h,r_ohm,x_ohm\n,7,,0.4,2\nK1,7,1e-7,0.4,6.4\n", "bank.csv");
  CHECK_FALSE(t.capacitors);
  CHECK(t.frequency_hz == 7e6);
  CHECK(t.base_ohm == cdouble(0.4, 2.0));
  REQUIRE(t.readings.size() == 1);
  CHECK(t.names[0] == "K1");
  CHECK_THROWS_AS(read_relays("frequency_mhz,r_ohm,x_ohm\n7,1,2\n", "bank.csv"), ParseError);
  CHECK_THROWS_AS(read_relays("frequency_mhz,inductance_h,r_ohm,x_ohm\n7,1e-6,1,2\n7,1e-6,1,2\n", "bank.csv"),
                  ParseError);
}
