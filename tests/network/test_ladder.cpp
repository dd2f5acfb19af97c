// Identities that every ladder obeys, on random ladders of all kinds of parts.

#include <algorithm>
#include <bit>
#include <cmath>
#include <cstdint>
#include <string>
#include <vector>

#include <catch2/catch.hpp>

#include <stile/base/constants.hpp>
#include <stile/network/ladder.hpp>
#include <stile/network/waves.hpp>

#include "network/random_ladder.hpp"

using namespace stile;
using namespace stile::network;
using namespace stile::network::test;
using Catch::Matchers::Contains;

namespace {

std::string describe(const Ladder& ladder) {
  std::string text;
  for (const Element& e : ladder.elements)
    text += place_name(e.place) + " " + kind_name(e.part) + " " + value_text(e.part) + "; ";
  return text;
}

std::vector<Chain> chains(const Ladder& ladder, double frequency_hz) {
  std::vector<Chain> all;
  for (const Element& element : ladder.elements) all.push_back(chain(element, frequency_hz));
  return all;
}

/// Magnitude of every entry: products of these bound what rounding can do.
Chain magnitudes(const Chain& c) { return {std::abs(c.a), std::abs(c.b), std::abs(c.c), std::abs(c.d)}; }

/// Rounding errors of a ladder of this size in its input impedance, in units of the unit roundoff: sums of the
/// magnitudes of all terms over the magnitude of the sum.
double condition(const std::vector<Chain>& all, cdouble z_load) {
  Chain product, bound;
  for (const Chain& c : all)
    product = stile::network::cascade(product, c), bound = stile::network::cascade(bound, magnitudes(c));
  const double z = std::abs(z_load);
  return (bound.a.real() * z + bound.b.real()) / std::abs(product.a * z_load + product.b) +
         (bound.c.real() * z + bound.d.real()) / std::abs(product.c * z_load + product.d);
}

/// Values of two rows, bit by bit.
bool same_bits(double a, double b) { return std::bit_cast<std::uint64_t>(a) == std::bit_cast<std::uint64_t>(b); }

/// How many values differ in some bit, harmonics left out.
int different_values(const Evaluation& a, const Evaluation& b) {
  const auto values = [](const Evaluation& e) {
    std::vector<double> all{e.frequency_hz,         e.z_load_ohm.real(),  e.z_load_ohm.imag(), e.z_input_ohm.real(),
                            e.z_input_ohm.imag(),   e.reflection.real(),  e.reflection.imag(), e.swr,
                            e.power.available_w,    e.power.accepted_w,   e.power.delivered_w, e.loss.mismatch_db,
                            e.loss.dissipation_db,  e.loss.transducer_db, e.loaded_q,          e.load_current_a.real(),
                            e.load_current_a.imag()};
    for (const Stress& s : e.elements) {
      all.insert(all.end(),
                 {s.current_a_rms, s.voltage_v_peak, s.dissipation_w, s.magnetic_energy_j, s.electric_energy_j});
    }
    return all;
  };
  const std::vector<double> left = values(a), right = values(b);
  int different = left.size() == right.size() ? 0 : 1;
  for (std::size_t n = 0; n < std::min(left.size(), right.size()); ++n) different += !same_bits(left[n], right[n]);
  return different;
}

/// The largest of many errors, with the ladder that had it; CHECK in a loop of 100000 would cost more than the ladder.
struct Worst {
  double error = 0.0;
  std::string where;
  void take(double e, const Ladder& ladder) {
    if (e <= error || std::isnan(error)) return;  // a nan is taken and stays
    error = e;
    where = describe(ladder);
  }
};

LoadSamples random_samples(RandomLadders& random, std::size_t count) {
  LoadSamples samples;
  for (std::size_t k = 0; k < count; ++k) {
    samples.frequency_hz.push_back(random.frequency_hz());
    samples.z_ohm.push_back(random.load());
    samples.z_second_ohm.push_back(random.load());
    samples.z_third_ohm.push_back(random.load());
  }
  return samples;
}

}  // namespace

TEST_CASE("random ladders keep power, complex power, reciprocity and definitions") {
  RandomLadders random(20240607);
  Worst determinant_error, power, complex_power, split, reflection_error, swr_error, current, loss_error, negative;
  int well_conditioned = 0;
  constexpr int count = 100000;
  for (int n = 0; n < count; ++n) {
    const Ladder ladder = random.ladder();
    const Source source = random.source();
    const double f = random.frequency_hz(), w = two_pi * f;
    const cdouble z_load = random.load();
    const Evaluation e = evaluate(ladder, source, f, z_load);
    const double available = source.power_w, rs = source.z_ohm.real();

    // Reciprocity, of the whole ladder.
    const std::vector<Chain> parts = chains(ladder, f);
    const Chain whole = stile::network::cascade(parts);
    Chain bound;
    for (const Chain& c : parts) bound = stile::network::cascade(bound, magnitudes(c));
    determinant_error.take(std::abs(determinant(whole) - 1.0) / (bound.a * bound.d + bound.b * bound.c).real(), ladder);

    // A chain split anywhere equals the whole.
    const auto cut = static_cast<std::ptrdiff_t>(random.below(static_cast<int>(parts.size()) + 1));
    const Chain halves[] = {stile::network::cascade(std::vector<Chain>(parts.begin(), parts.begin() + cut)),
                            stile::network::cascade(std::vector<Chain>(parts.begin() + cut, parts.end()))};
    const double kappa = condition(parts, z_load);
    if (kappa < 1e4) ++well_conditioned;
    split.take(std::abs(input_impedance(halves, z_load) - e.z_input_ohm) / std::abs(e.z_input_ohm) / kappa, ladder);

    // Every watt is somewhere.
    double losses = 0.0, magnetic = 0.0, electric = 0.0, least = e.power.delivered_w;
    for (const Stress& s : e.elements) {
      losses += s.dissipation_w;
      magnetic += s.magnetic_energy_j;
      electric += s.electric_energy_j;
      least = std::min({least, s.dissipation_w, s.magnetic_energy_j, s.electric_energy_j});
    }
    negative.take(-least, ladder);
    power.take(std::abs(std::norm(e.reflection) + (losses + e.power.delivered_w) / available - 1.0), ladder);
    power.take(std::abs(losses + e.power.delivered_w - e.power.accepted_w) / available, ladder);
    // Im(V I*) = 2 w (Wm - We) + what the load takes.
    const double i2_input = 4.0 * rs * available / std::norm(source.z_ohm + e.z_input_ohm);
    const double i2_load = std::norm(e.load_current_a);
    const double reactive = e.z_input_ohm.imag() * i2_input - 2.0 * w * (magnetic - electric) - z_load.imag() * i2_load;
    const double size =
        std::abs(e.z_input_ohm) * i2_input + 2.0 * w * (magnetic + electric) + std::abs(z_load) * i2_load;
    complex_power.take(std::abs(reactive) / size, ladder);

    // Reflection, SWR, decibels and load current by their definitions.
    const cdouble r = reflection(e.z_input_ohm, source.z_ohm, WaveDefinition::power);
    reflection_error.take(std::abs(r - e.reflection), ladder);
    const double accepted = e.power.accepted_w / available;
    swr_error.take(std::abs((e.swr - 1.0) / (e.swr + 1.0) - std::abs(r)), ladder);
    swr_error.take(e.swr >= 1.0 ? 0.0 : 1.0, ladder);
    loss_error.take(std::abs(e.loss.mismatch_db + 10.0 * std::log10(accepted)), ladder);
    loss_error.take(std::abs(e.loss.dissipation_db - 10.0 * std::log10(e.power.accepted_w / e.power.delivered_w)),
                    ladder);
    loss_error.take(std::abs(e.loss.transducer_db - 10.0 * std::log10(available / e.power.delivered_w)), ladder);
    loss_error.take(e.power.available_w == available ? 0.0 : 1.0, ladder);
    const cdouble emf = std::sqrt(4.0 * rs * available);
    const cdouble i = emf / (whole.a * z_load + whole.b + source.z_ohm * (whole.c * z_load + whole.d));
    current.take(std::abs(i - e.load_current_a) / std::abs(i) / kappa, ladder);
    current.take(std::abs(i2_load * z_load.real() - e.power.delivered_w) / e.power.delivered_w, ladder);
  }
  const auto check = [](const char* what, const Worst& worst, double limit) {
    INFO(what << ": " << worst.error << " at " << worst.where);
    CHECK(worst.error <= limit);
  };
  check("determinant", determinant_error, 1e-14);
  check("split", split, 1e-14);
  check("power", power, 1e-12);
  check("complex power", complex_power, 1e-12);
  check("negative loss or energy", negative, 0.0);
  check("reflection", reflection_error, 1e-12);
  check("swr", swr_error, 1e-12);
  check("decibels", loss_error, 1e-11);
  check("load current", current, 1e-14);
  CHECK(well_conditioned > 0.9 * count);
}

TEST_CASE("energies of lossless ladders are the slope of their input reactance") {
  // Foster: dX/dw |I|^2 = 2 (Wm + We) at rms current, for a lossless one-port; the far end is shorted.
  RandomLadders random(20240608);
  int kept = 0;
  constexpr int count = 20000;
  Worst error;
  for (int n = 0; n < count; ++n) {
    const Ladder ladder = random.ladder(true);
    const Source source{50.0, 3.0};
    const double f = random.frequency_hz(), w = two_pi * f;
    const Evaluation e = evaluate(ladder, source, f, 0.0);
    const double energy = [&] {
      double sum = 0.0;
      for (const Stress& s : e.elements) sum += s.magnetic_energy_j + s.electric_energy_j;
      return sum;
    }();
    // The slope of the phase of the reflection stays finite where X does not: d(phase)/dw = -2 Rs dX/dw / |Zs + jX|^2.
    const auto phase_slope = [&](double step) {
      const auto at = [&](double f1) { return evaluate(ladder, source, f1, 0.0).reflection; };
      return std::arg(at(f * (1.0 + step)) / at(f * (1.0 - step))) / (2.0 * step * w);
    };
    // Extrapolated twice: the errors of second and of fourth order in the step cancel.
    const double widest = phase_slope(4e-4), coarse = phase_slope(2e-4), fine = phase_slope(1e-4);
    const double once = coarse + (coarse - widest) / 3.0, again = fine + (fine - coarse) / 3.0,
                 slope = again + (again - once) / 15.0;
    if (std::abs(fine - coarse) > 1e-4 * std::abs(fine)) continue;  // too sharp a resonance for these steps
    ++kept;
    // |I|^2 = 4 Rs P / |Zs + jX|^2, so 2 (Wm + We) = -2 P d(phase)/dw. Rounding of the phase is 1e-15/1e-4.
    error.take(std::abs(energy / source.power_w + slope) / (std::abs(slope) + 1e-4 / w), ladder);
    REQUIRE(e.power.accepted_w == 0.0);
  }
  INFO(error.error << " at " << error.where);
  CHECK(error.error <= 2e-7);
  CHECK(kept > 0.8 * count);
}

TEST_CASE("energies of single parts are those of their definitions") {
  const double f = 7.1e6, w = two_pi * f;
  const Source source{50.0, 5.0};
  SECTION("coil with self-capacitance") {
    const Evaluation e = evaluate({{series(Inductor{2e-6, {}, 15e-12})}}, source, f, 50.0);
    const double v2 = std::pow(e.elements[0].voltage_v_peak, 2) / 2.0, i = std::sqrt(v2) / (w * 2e-6);
    CHECK(e.elements[0].current_a_rms == Approx(i).epsilon(1e-13));
    CHECK(e.elements[0].magnetic_energy_j == Approx(0.5 * 2e-6 * i * i).epsilon(1e-13));
    CHECK(e.elements[0].electric_energy_j == Approx(0.5 * 15e-12 * v2).epsilon(1e-13));
    // What flows through the part from outside is less than what circulates in it.
    CHECK(e.elements[0].current_a_rms * (1.0 - w * w * 2e-6 * 15e-12) ==
          Approx(std::abs(e.load_current_a)).epsilon(1e-13));
  }
  SECTION("capacitor with loss tangent: the energy of its capacitance at its voltage") {
    const Evaluation e = evaluate({{shunt(Capacitor{300e-12, Loss{.loss_tangent = 0.2}})}}, source, f, {30.0, 10.0});
    const double v2 = std::pow(e.elements[0].voltage_v_peak, 2) / 2.0;
    CHECK(e.elements[0].electric_energy_j == Approx(0.5 * 300e-12 * v2).epsilon(1e-13));
    CHECK(e.elements[0].dissipation_w == Approx(w * 300e-12 * 0.2 * v2).epsilon(1e-13));
    CHECK(e.elements[0].current_a_rms == Approx(w * 300e-12 * std::sqrt(1.04 * v2)).epsilon(1e-13));
  }
  SECTION("bank: as one part of the sum") {
    const Ladder bank{
        {series(InductorBank{{Inductor{1e-6, Loss{.q = 100.0}}, Inductor{3e-6, Loss{.q = 100.0}}}}),
         shunt(CapacitorBank{{Capacitor{100e-12, Loss{.q = 500.0}}, Capacitor{200e-12, Loss{.q = 500.0}}}})}};
    const Ladder one{{series(Inductor{4e-6, Loss{.q = 100.0}}), shunt(Capacitor{300e-12, Loss{.q = 500.0}})}};
    const Evaluation a = evaluate(bank, source, f, {30.0, 10.0}), b = evaluate(one, source, f, {30.0, 10.0});
    for (std::size_t n = 0; n < 2; ++n) {
      CHECK(a.elements[n].current_a_rms == Approx(b.elements[n].current_a_rms).epsilon(1e-13));
      CHECK(a.elements[n].voltage_v_peak == Approx(b.elements[n].voltage_v_peak).epsilon(1e-13));
      CHECK(a.elements[n].dissipation_w == Approx(b.elements[n].dissipation_w).epsilon(1e-13));
      CHECK(a.elements[n].magnetic_energy_j == Approx(b.elements[n].magnetic_energy_j).epsilon(1e-13));
      CHECK(a.elements[n].electric_energy_j == Approx(b.elements[n].electric_energy_j).epsilon(1e-13));
    }
  }
}

TEST_CASE("loss resistances follow their stated laws of frequency") {
  const double f0 = 3.6e6;
  for (const double f : {1.8e6, 3.6e6, 14.4e6}) {
    INFO(f);
    const double w = two_pi * f;
    CHECK(impedance(Inductor{5e-6, Loss{.q = 200.0}}, f).real() == Approx(w * 5e-6 / 200.0).epsilon(1e-14));
    CHECK(impedance(Capacitor{1e-10, Loss{.q = 900.0}}, f).real() == Approx(1.0 / (w * 1e-10 * 900.0)).epsilon(1e-14));
    // Skin effect: the resistance grows with the root of the frequency, in a coil's wire and in a capacitor's leads.
    const double skin = std::sqrt(f / f0);
    CHECK(impedance(Inductor{5e-6, Loss{.q = 200.0, .q_at_hz = f0}}, f).real() ==
          Approx(two_pi * f0 * 5e-6 / 200.0 * skin).epsilon(1e-14));
    CHECK(impedance(Capacitor{1e-10, Loss{.q = 900.0, .q_at_hz = f0}}, f).real() ==
          Approx(skin / (two_pi * f0 * 1e-10 * 900.0)).epsilon(1e-14));
    const cdouble z = impedance(Capacitor{1e-10, Loss{.series_ohm = 0.3, .loss_tangent = 0.1}}, f);
    CHECK(std::abs(z - (0.3 + 1.0 / (w * 1e-10 * cdouble{0.1, 1.0}))) < 1e-14 * std::abs(z));
  }
}

TEST_CASE("a bank is its parts in a row or side by side, with every kind of loss") {
  const std::vector<Loss> losses{
      {.q = 80.0}, {.q = 120.0, .q_at_hz = 5e6}, {.q = 150.0, .q_at_hz = 20e6, .series_ohm = 0.4}};
  InductorBank coils;
  CapacitorBank capacitors;
  for (std::size_t n = 0; n < losses.size(); ++n) {
    coils.parts.push_back({1e-6 * static_cast<double>(1 + n), losses[n]});
    capacitors.parts.push_back({100e-12 * static_cast<double>(1 + n), losses[n]});
    capacitors.parts.back().loss.loss_tangent = 1e-3 * static_cast<double>(n);
  }
  for (const double f : {1.8e6, 7.1e6, 28e6}) {
    cdouble z{}, y{};
    Ladder row, side;
    for (std::size_t n = 0; n < losses.size(); ++n) {
      z += impedance(coils.parts[n], f);
      y += 1.0 / impedance(capacitors.parts[n], f);
      row.elements.push_back(series(coils.parts[n]));
      side.elements.push_back(shunt(capacitors.parts[n]));
    }
    INFO(f);
    CHECK(std::abs(impedance(coils, f) - z) <= 1e-13 * std::abs(z));
    CHECK(std::abs(impedance(capacitors, f) - 1.0 / y) <= 1e-13 / std::abs(y));
    // In a ladder: the same input, and losses and energies that are the sums over the parts.
    const std::vector<std::pair<Ladder, Ladder>> pairs{{{{series(coils)}}, row}, {{{shunt(capacitors)}}, side}};
    for (const auto& [bank, parts] : pairs) {
      const Evaluation one = evaluate(bank, {}, f, {20.0, -30.0}), several = evaluate(parts, {}, f, {20.0, -30.0});
      Stress sum;
      for (const Stress& s : several.elements) {
        sum.dissipation_w += s.dissipation_w;
        sum.magnetic_energy_j += s.magnetic_energy_j;
        sum.electric_energy_j += s.electric_energy_j;
      }
      CHECK(std::abs(one.z_input_ohm - several.z_input_ohm) <= 1e-12 * std::abs(one.z_input_ohm));
      CHECK(std::abs(one.elements[0].dissipation_w - sum.dissipation_w) <= 1e-12 * sum.dissipation_w);
      CHECK(std::abs(one.elements[0].magnetic_energy_j - sum.magnetic_energy_j) <= 1e-12 * sum.magnetic_energy_j);
      CHECK(std::abs(one.elements[0].electric_energy_j - sum.electric_energy_j) <= 1e-12 * sum.electric_energy_j);
    }
  }
}

TEST_CASE("loaded Q counts what the load stores, worked by hand") {
  // 2 w W over power: a reactance X in series stores X |I|^2/(2 w), power is lost in 50 ohm of the source and 10 ohm.
  for (const double x : {120.0, -120.0})
    CHECK(std::abs(evaluate({}, {50.0, 1.0}, 7.1e6, {10.0, x}).loaded_q - 2.0) <= 1e-12);
  const double w = two_pi * 7.1e6;
  const Ladder coil{{series(Inductor{60.0 / w})}};
  CHECK(std::abs(evaluate(coil, {50.0, 1.0}, 7.1e6, {10.0, 120.0}).loaded_q - 3.0) <= 1e-12);   // 180 of 60 ohm
  CHECK(std::abs(evaluate(coil, {50.0, 1.0}, 7.1e6, {10.0, -150.0}).loaded_q - 2.5) <= 1e-12);  // the larger: 150
}

TEST_CASE("loaded Q of a matched lossless L network is half its node Q") {
  RandomLadders random(20240609);
  for (int n = 0; n < 200; ++n) {
    const double low = random.log_uniform(1.0, 50.0), high = low * random.log_uniform(1.5, 500.0),
                 f = random.frequency_hz();
    const double q = std::sqrt(high / low - 1.0), w = two_pi * f;
    const Component coil_series = Inductor{q * low / w}, coil_shunt = Inductor{high / q / w};
    const Component capacitor_series = Capacitor{1.0 / (w * q * low)}, capacitor_shunt = Capacitor{q / high / w};
    const bool low_pass = random.chance(0.5);
    const Element s = series(low_pass ? coil_series : capacitor_series),
                  p = shunt(low_pass ? capacitor_shunt : coil_shunt);
    const bool down = random.chance(0.5);
    const Evaluation e = evaluate({down ? std::vector<Element>{p, s} : std::vector<Element>{s, p}},
                                  {down ? high : low, 5.0}, f, down ? low : high);
    CHECK(std::abs(e.reflection) < 1e-13);
    CHECK(e.swr >= 1.0);
    CHECK(std::abs(e.swr - 1.0) < 1e-12);
    CHECK(std::abs(e.loaded_q - q / 2.0) < 1e-12 * q);
  }
}

TEST_CASE("a sweep equals its points alone, single evaluations and what visiting hands over, bit for bit") {
  RandomLadders random(20240610);
  for (int n = 0; n < 40; ++n) {
    const Ladder ladder = random.ladder();
    INFO(describe(ladder));
    const Source source = random.source();
    const LoadSamples samples = random_samples(random, 200);
    const Sweep sweep = evaluate_sweep(ladder, source, samples);
    REQUIRE(sweep.size() == 200);
    REQUIRE(sweep.elements() == ladder.elements.size());
    const auto row = [&](std::size_t r) {
      return r < columns ? sweep.column(static_cast<Column>(r))
                         : sweep.element((r - columns) / element_columns,
                                         static_cast<ElementColumn>((r - columns) % element_columns));
    };
    const std::size_t rows = columns + element_columns * ladder.elements.size();
    std::size_t next = 0, different = 0;
    visit_sweep(ladder, source, samples, [&](const SweepRows& block) {
      REQUIRE(block.first == next);
      REQUIRE((block.count >= 1 && block.count <= 64));
      next += block.count;
      for (std::size_t r = 0; r < rows; ++r) {
        REQUIRE(block.row(r).size() == block.count);
        for (std::size_t k = 0; k < block.count; ++k) different += !same_bits(block.row(r)[k], row(r)[block.first + k]);
      }
    });
    CHECK(next == 200);
    for (std::size_t k = 0; k < 200; ++k) {
      const Sweep alone = evaluate_sweep(
          ladder, source,
          {{samples.frequency_hz[k]}, {samples.z_ohm[k]}, {samples.z_second_ohm[k]}, {samples.z_third_ohm[k]}});
      for (std::size_t r = 0; r < columns; ++r) {
        different += !same_bits(alone.column(static_cast<Column>(r))[0], row(r)[k]);
      }
      for (std::size_t r = columns; r < rows; ++r) {
        different += !same_bits(alone.element((r - columns) / element_columns,
                                              static_cast<ElementColumn>((r - columns) % element_columns))[0],
                                row(r)[k]);
      }
      const Evaluation e = sweep.at(k);
      different += !same_bits(e.z_input_ohm.real(), alone.at(0).z_input_ohm.real());
      different += !same_bits(e.elements.back().electric_energy_j, row(rows - 1)[k]);
      const Evaluation single = evaluate(ladder, source, samples.frequency_hz[k], samples.z_ohm[k]);
      different += static_cast<std::size_t>(different_values(single, e));
    }
    CHECK(different == 0);
    CHECK_THROWS_AS(sweep.at(200), DomainError);
  }
}

TEST_CASE("a neighbour whose loss is infinite leaves the bits of a point alone") {
  // One point of 64 delivers nothing: its dissipation loss is infinite.
  RandomLadders random(20240618);
  const Ladder ladder{{series(Inductor{1e-6, Loss{.q = 100.0}}), shunt(Capacitor{300e-12, Loss{.q = 500.0}})}};
  std::size_t different = 0;
  for (int n = 0; n < 200; ++n) {
    LoadSamples samples = random_samples(random, 64);
    samples.z_second_ohm.clear();
    samples.z_third_ohm.clear();
    samples.z_ohm[7] = {0.0, 20.0};
    const Sweep sweep = evaluate_sweep(ladder, {}, samples);
    CHECK(sweep.at(7).loss.dissipation_db == infinite);
    for (std::size_t k = 0; k < 64; ++k) {
      const Evaluation single = evaluate(ladder, {}, samples.frequency_hz[k], samples.z_ohm[k]);
      different += static_cast<std::size_t>(different_values(single, sweep.at(k)));
    }
  }
  CHECK(different == 0);
}

TEST_CASE("harmonic attenuation is the difference of two transducer losses") {
  RandomLadders random(20240611);
  Worst error;
  for (int n = 0; n < 2000; ++n) {
    const Ladder ladder = random.ladder();
    const Source source = random.source();
    const double f = random.frequency_hz();
    const cdouble z1 = random.load(), z2 = random.load(), z3 = random.load();
    const Evaluation e = evaluate_sweep(ladder, source, {{f}, {z1}, {z2}, {z3}}).at(0);
    REQUIRE(e.second_harmonic_db);
    REQUIRE(e.third_harmonic_db);
    const double fundamental = evaluate(ladder, source, f, z1).loss.transducer_db;
    error.take(
        std::abs(*e.second_harmonic_db - (evaluate(ladder, source, 2.0 * f, z2).loss.transducer_db - fundamental)),
        ladder);
    error.take(
        std::abs(*e.third_harmonic_db - (evaluate(ladder, source, 3.0 * f, z3).loss.transducer_db - fundamental)),
        ladder);
  }
  INFO(error.error << " at " << error.where);
  CHECK(error.error <= 1e-9);
  const Evaluation none = evaluate({}, {}, 1e6, 50.0);
  CHECK(!none.second_harmonic_db);
  CHECK(!none.third_harmonic_db);
}

TEST_CASE("a straight connection passes the load on and total reflection is infinite SWR") {
  const Evaluation e = evaluate({}, {{30.0, 40.0}, 5.0}, 7e6, {30.0, -40.0});
  CHECK(e.z_input_ohm == cdouble{30.0, -40.0});
  CHECK(e.reflection == 0.0);
  CHECK(e.swr == 1.0);
  CHECK(e.power.delivered_w == Approx(5.0).epsilon(1e-15));
  CHECK(e.loss.transducer_db == Approx(0.0).margin(1e-14));
  for (const Element& nothing :
       {series(Resistor{0.0}), series(Inductor{0.0}), series(Inductor{0.0, {}, 3e-12}), series(FixedImpedance{}),
        cascade(TransmissionLine{Rlgc{0.0, 2.5e-7, 0.0, 1e-10}, 0.0})}) {
    const Evaluation same = evaluate({{nothing}}, {}, 7e6, {12.0, -230.0});
    INFO(kind_name(nothing.part));
    CHECK(same.z_input_ohm == cdouble{12.0, -230.0});
    CHECK(same.elements[0].dissipation_w == 0.0);
    CHECK(same.elements[0].magnetic_energy_j + same.elements[0].electric_energy_j == 0.0);
    CHECK(same.loss.dissipation_db == 0.0);
  }
  const Evaluation total = evaluate({{series(Inductor{1e-6})}}, {}, 7e6, {0.0, 100.0});
  CHECK(std::abs(total.reflection) == Approx(1.0).epsilon(1e-15));
  CHECK(total.power.accepted_w == 0.0);
  CHECK(std::isinf(total.swr));
  CHECK(std::isinf(total.loss.mismatch_db));
  CHECK(std::isinf(total.loss.dissipation_db));
  CHECK(std::isinf(total.loss.transducer_db));
}

TEST_CASE("a line shows the highest voltage and current that stand on it") {
  RandomLadders random(20240612);
  for (int n = 0; n < 300; ++n) {
    const bool lossless = random.chance(0.3);
    const TransmissionLine line = random.line(lossless);
    const double f = random.frequency_hz();
    const cdouble z_load = random.load();
    const Evaluation e = evaluate({{cascade(line)}}, {}, f, z_load);
    // Every point of a fine grid, from the chain matrix of the piece behind it.
    const LineConstants constants = line_constants(line, f);
    double v2 = 0.0, i2 = 0.0;
    constexpr int steps = 20000;
    for (int k = 0; k <= steps; ++k) {
      const Chain c = line_chain(constants, line.length_m * k / steps);
      v2 = std::max(v2, std::norm(c.a * z_load + c.b));
      i2 = std::max(i2, std::norm(c.c * z_load + c.d));
    }
    const double scale = std::norm(e.load_current_a);
    INFO(line.length_m << " m at " << f << " Hz, load " << z_load);
    // Between two points of the grid the curve rises by (half a step in radians)^2 at most.
    const double grid = std::pow(constants.gamma_per_m.imag() * line.length_m / steps, 2) + 1e-12;
    CHECK(e.elements[0].voltage_v_peak >= std::sqrt(2.0 * v2 * scale) * (1.0 - 1e-12));
    CHECK(e.elements[0].voltage_v_peak <= std::sqrt(2.0 * v2 * scale) * (1.0 + grid));
    CHECK(e.elements[0].current_a_rms >= std::sqrt(i2 * scale) * (1.0 - 1e-12));
    CHECK(e.elements[0].current_a_rms <= std::sqrt(i2 * scale) * (1.0 + grid));
  }
}

TEST_CASE("overloads name the part and stand worst first") {
  Ladder ladder{{series(Inductor{5e-6, Loss{.q = 100.0}}), shunt(Capacitor{300e-12})}};
  ladder.elements[0].label = "L1";
  const Evaluation e = evaluate(ladder, {50.0, 100.0}, 7.1e6, 800.0);
  CHECK(overloads(ladder, e).empty());
  const Stress& coil = e.elements[0];
  const Stress& capacitor = e.elements[1];
  ladder.elements[0].rating = {coil.voltage_v_peak / 1.5, coil.current_a_rms * 1.01, coil.dissipation_w / 3.0};
  ladder.elements[1].rating = {capacitor.voltage_v_peak / 2.0, infinite, 0.5};
  const std::vector<Overload> found = overloads(ladder, e);
  REQUIRE(found.size() == 3);
  CHECK(found[0].factor == Approx(3.0));
  CHECK(found[0].element == 0);
  CHECK_THAT(found[0].what, Contains("L1: ") && Contains("W dissipated, rated "));
  CHECK(found[1].factor == Approx(2.0));
  CHECK(found[1].element == 1);
  CHECK_THAT(found[1].what, Contains("capacitor: ") && Contains("V peak, rated "));  // no label: the kind
  CHECK(found[2].factor == Approx(1.5));
  CHECK_THAT(found[2].what, Contains("L1: ") && Contains("V peak"));
  // In full: invented stresses of 812.4 V, 3 A and 20 W against 500 V, 2 A and 5 W.
  Evaluation stated;
  stated.elements = {{3.0, 812.4, 20.0, 0.0, 0.0}, {}};
  ladder.elements[0].rating = {500.0, 2.0, 5.0};
  ladder.elements[1].rating = {};
  const std::vector<Overload> all = overloads(ladder, stated);
  REQUIRE(all.size() == 3);
  CHECK(all[0].what == "L1: 20 W dissipated, rated 5 W");
  CHECK(all[0].factor == 4.0);
  CHECK(all[1].what == "L1: 812.4 V peak, rated 500 V");
  CHECK(all[1].factor == 812.4 / 500.0);
  CHECK(all[2].what == "L1: 3 A rms, rated 2 A");
  CHECK(all[2].factor == 1.5);
  ladder.elements[0].rating = {coil.voltage_v_peak, coil.current_a_rms, coil.dissipation_w};
  ladder.elements[1].rating = {};
  CHECK(overloads(ladder, e).empty());  // at the rating is not above it
  CHECK_THROWS_WITH(overloads({}, e), Contains("another ladder"));
}

TEST_CASE("bad values are refused by name") {
  const double nan = std::nan("");
  const auto refused = [](const Element& element, const char* message) {
    INFO(message);
    CHECK_THROWS_AS(evaluate({{series(Resistor{1.0}), element}}, {}, 7e6, 50.0), DomainError);
    CHECK_THROWS_WITH(evaluate({{series(Resistor{1.0}), element}}, {}, 7e6, 50.0),
                      Contains(message) && Contains("element 2 (" + kind_name(element.part) + ")"));
  };
  refused(series(Resistor{-1.0}), "resistance");
  refused(series(Resistor{nan}), "resistance");
  refused(series(Resistor{infinite}), "resistance");
  refused(series(Inductor{-1e-6}), "inductance");
  refused(series(Inductor{nan}), "inductance");
  refused(series(Inductor{1e-6, {}, -1e-12}), "self-capacitance");
  refused(series(Inductor{1e-6, Loss{.q = 0.0}}), "loss.q is 0 and must be > 0");
  refused(series(Inductor{1e-6, Loss{.q = -100.0}}), "loss.q is -100");
  refused(series(Inductor{1e-6, Loss{.q = nan}}), "loss.q is nan");
  refused(series(Inductor{1e-6, Loss{.q_at_hz = -1.0}}), "loss.q_at_hz is -1 and must be >= 0 and finite");
  refused(series(Inductor{1e-6, Loss{.series_ohm = -1.0}}), "loss.series_ohm is -1");
  refused(series(Inductor{1e-6, Loss{.loss_tangent = 0.1}}), "only capacitors");
  refused(series(Capacitor{0.0}), "capacitance must be > 0");
  refused(series(Capacitor{nan}), "capacitance");
  refused(series(Capacitor{1e-12, Loss{.loss_tangent = nan}}), "loss.loss_tangent is nan");
  refused(series(FixedImpedance{{-1.0, 0.0}}), "fixed impedance");
  refused(series(FixedImpedance{{1.0, nan}}), "fixed impedance");
  refused(series(InductorBank{}), "must not be empty");
  refused(series(CapacitorBank{}), "must not be empty");
  refused(series(InductorBank{{Inductor{1e-6, {}, 1e-12}}}), "no self-capacitance of their own");
  refused(cascade(Transformer{0.0}), "turns ratio");
  refused(cascade(Transformer{nan}), "turns ratio");
  refused(series(Transformer{2.0}), "stands in cascade");
  refused(cascade(Resistor{2.0}), "series or in shunt");
  refused(cascade(TransmissionLine{Rlgc{0.0, 2.5e-7, 0.0, 1e-10}, -1.0}), "length");
  refused(cascade(TransmissionLine{Rlgc{0.0, -2.5e-7, 0.0, 1e-10}, 1.0}), "per metre");
  refused(cascade(TransmissionLine{Rlgc{1e5, 2.5e-7, 1e2, 1e-10}, 1e3}), "loss is beyond");
  refused(shunt(Resistor{0.0}), "short circuit");
  refused(shunt(FixedImpedance{}), "short circuit");
  refused(shunt(Inductor{0.0}), "short circuit");
  refused(shunt(Inductor{0.0, {}, 1e-12}), "short circuit");
  refused(shunt(InductorBank{{Inductor{0.0}, Inductor{0.0}}}), "short circuit");
  Element named = series(Resistor{-1.0});
  named.label = "R7";
  CHECK_THROWS_WITH(evaluate({{named}}, {}, 7e6, 50.0), Contains("element 1 (R7)"));

  const Ladder ladder{{series(Inductor{1e-6})}};
  for (const Source& source : {Source{0.0, 1.0}, Source{-50.0, 1.0}, Source{{50.0, nan}, 1.0}, Source{50.0, 0.0},
                               Source{50.0, -1.0}, Source{50.0, nan}, Source{50.0, infinite}}) {
    CHECK_THROWS_WITH(evaluate(ladder, source, 7e6, 50.0), Contains("the source's"));
  }
  for (const double f : {0.0, -7e6, nan, infinite}) {
    CHECK_THROWS_WITH(evaluate(ladder, {}, f, 50.0), Contains("frequency must be > 0"));
    CHECK_THROWS_WITH(chain(ladder.elements[0], f), Contains("frequency must be > 0"));
    CHECK_THROWS_WITH(impedance(ladder.elements[0].part, f), Contains("frequency must be > 0"));
  }
  for (const cdouble z : {cdouble{-1.0, 0.0}, cdouble{nan, 0.0}, cdouble{50.0, infinite}}) {
    CHECK_THROWS_WITH(evaluate(ladder, {}, 7e6, z), Contains("load must be finite"));
  }
  CHECK_THROWS_WITH(evaluate_sweep(ladder, {}, {}), Contains("at least one point"));
  CHECK_THROWS_WITH(evaluate_sweep(ladder, {}, {{7e6, 8e6}, {50.0}, {}, {}}), Contains("one load impedance for each"));
  CHECK_THROWS_WITH(evaluate_sweep(ladder, {}, {{7e6}, {50.0}, {50.0, 50.0}, {}}),
                    Contains("one load impedance for each"));
  CHECK_THROWS_WITH(evaluate_sweep(ladder, {}, {{7e6}, {50.0}, {}, {50.0, 50.0}}),
                    Contains("one load impedance for each"));
  CHECK_THROWS_WITH(impedance(Transformer{2.0}, 7e6), Contains("no impedance of its own"));
  CHECK_THROWS_AS(self_capacitance_from_resonance(0.0, 7e6), DomainError);
  CHECK_THROWS_AS(self_capacitance_from_resonance(1e-6, nan), DomainError);
  CHECK_THROWS_AS(scaled(Resistor{1.0}, 0.0), DomainError);
  CHECK_THROWS_AS(transformer_elements(3.0, -1e-6, infinite, {}), DomainError);
  CHECK_THROWS_AS(transformer_elements(3.0, nan, infinite, {}), DomainError);
  CHECK_THROWS_AS(transformer_elements(3.0, 0.0, 0.0, {}), DomainError);
  CHECK_THROWS_AS(transformer_elements(3.0, 0.0, nan, {}), DomainError);
}

TEST_CASE("parts are made scaled and named") {
  const double c = self_capacitance_from_resonance(5e-6, 20e6);
  CHECK(std::abs(1.0 / impedance(Inductor{5e-6, {}, c}, 20e6).imag()) < 1e-14);
  const std::vector<Element> real_transformer = transformer_elements(3.0, 0.2e-6, 40e-6, Loss{.q = 50.0});
  REQUIRE(real_transformer.size() == 3);
  const Evaluation e = evaluate({real_transformer}, {}, 7e6, 5.0);
  const double w = two_pi * 7e6;
  const cdouble core{w * 40e-6 / 50.0, w * 40e-6};
  const cdouble z = cdouble{0.0, w * 0.2e-6} + 1.0 / (1.0 / core + 1.0 / 45.0);
  CHECK(std::abs(e.z_input_ohm - z) < 1e-13 * std::abs(z));
  CHECK(transformer_elements(3.0, 0.0, infinite, {}).size() == 1);
  RandomLadders random(20240613);
  for (int n = 0; n < 200; ++n) {
    const Element element = random.element(false);
    const double factor = random.log_uniform(0.1, 10.0);
    const double before = value_si(element.part), after = value_si(scaled(element.part, factor));
    CHECK(std::abs(after - factor * before) <= 1e-14 * std::abs(after));
    CHECK(!kind_name(element.part).empty());
    CHECK(!value_text(element.part).empty());
  }
}

TEST_CASE("each kind of part has its word, its value and its text") {
  struct Row {
    Component part;
    const char* kind;
    double value_si;
    const char* text;
  };
  const std::vector<Row> rows{
      {Resistor{47.0}, "resistor", 47.0, "47 ohm"},
      {Inductor{1.2e-6}, "inductor", 1.2e-6, "1.2 uH"},
      {Capacitor{330e-12}, "capacitor", 330e-12, "330 pF"},
      {FixedImpedance{{3.0, -4.0}}, "impedance", 5.0, "3-4j ohm"},  // the modulus
      {InductorBank{{Inductor{1e-6}, Inductor{2e-6}, Inductor{4e-6}}}, "inductor bank", 7e-6, "7 uH"},
      {CapacitorBank{{Capacitor{100e-12}, Capacitor{50e-12}}}, "capacitor bank", 150e-12, "150 pF"},
      {Transformer{3.0}, "transformer", 3.0, "3:1"},
      {Transformer{0.5}, "transformer", 0.5, "0.5:1"},
      {TransmissionLine{cable("RG-58"), 2.0}, "line", 2.0, "2 m of RG-58"},
      {TransmissionLine{Rlgc{0.0, 0.25e-6, 0.0, 100e-12}, 0.5}, "line", 0.5, "500 mm"},
  };
  for (const Row& row : rows) {
    INFO(row.kind << " " << row.text);
    CHECK(kind_name(row.part) == row.kind);
    CHECK(std::abs(value_si(row.part) - row.value_si) <= 1e-15 * row.value_si);
    CHECK(value_text(row.part) == row.text);
    CHECK(std::abs(value_si(scaled(row.part, 1.5)) - 1.5 * row.value_si) <= 1e-14 * row.value_si);
  }
  CHECK(value_text(Inductor{1.23456e-6}, 2) == "1.2 uH");
  CHECK(value_text(Transformer{2.0 / 3.0}) == "0.6667:1");
  CHECK(place_name(Place::series) == "series");
  CHECK(place_name(Place::shunt) == "shunt");
  CHECK(place_name(Place::cascade) == "cascade");
}

TEST_CASE("a result that is not finite is refused with its frequency") {
  const auto refused = [](const Ladder& ladder, double f, cdouble z) {
    INFO(f << " " << z);
    CHECK_THROWS_WITH(evaluate(ladder, {}, f, z),
                      Contains("the result at ") && Contains(" is not finite: values too large or too small"));
  };
  refused({}, 7.1e6, 1e308);
  refused({}, 7.1e6, {50.0, -1e200});
  refused({{series(Inductor{1e300})}}, 1e300, 50.0);
  refused({{series(Inductor{1e-300}), shunt(Capacitor{1e300})}}, 1e300, 50.0);
  refused({{shunt(FixedImpedance{{0.0, -50.0}})}}, 7.1e6, {0.0, 50.0});  // an open circuit at the input

  // The first such point is named, behind whole blocks of sound ones; neighbours do not hide it.
  LoadSamples samples;
  for (int n = 0; n < 150; ++n) samples.frequency_hz.push_back(1e6 + 1e3 * n), samples.z_ohm.push_back({20.0, -300.0});
  samples.z_ohm[131] = samples.z_ohm[140] = 1e200;
  CHECK_THROWS_WITH(evaluate_sweep({{series(Inductor{1e-6})}}, {}, samples),
                    Contains("the result at 1.131 MHz is not finite"));
}

TEST_CASE("infinite SWR and loss are answers") {
  const Evaluation e = evaluate({{series(Inductor{1e-6})}}, {}, 7.1e6, {0.0, -300.0});
  CHECK(std::isinf(e.swr));
  CHECK(std::isinf(e.loss.mismatch_db));
  CHECK(std::isinf(e.loss.dissipation_db));
  CHECK(e.power.delivered_w == 0.0);
}
