#include <cmath>

#include <catch2/catch.hpp>

#include <stile/tuner/sizing.hpp>

#include <stile/base/constants.hpp>
#include <stile/base/errors.hpp>

using namespace stile;
using namespace stile::tuner;

TEST_CASE("the trade-off falls to what the fewest relays need and each size is as good as stated") {
  SizingRequest request;
  request.most_bits = 5;
  request.steps = 3;
  request.swr_limit = 1.5;
  request.frame.inductors.loss.q = 150;
  const SizingLoad loads[] = {{7.1e6, {20.0, -100.0}}, {7.1e6, {100.0, 50.0}}, {14.2e6, {30.0, -60.0}}};
  const SizingResult result = size_banks(request, 50.0, loads);
  REQUIRE(result.trade_off.size() == 9);  // 2 to 10 parts and the side's relay
  CHECK(result.trade_off.front().relays == 3);
  CHECK(result.trade_off.back().relays == 11);
  for (const Sizing& sizing : result.trade_off) {
    Tuner t = request.frame;
    for (std::size_t n = 0; n < sizing.inductor_bits; ++n)
      t.inductors.values_h.push_back(sizing.step_h * std::pow(2.0, n));
    for (std::size_t n = 0; n < sizing.capacitor_bits; ++n)
      t.capacitors.values_f.push_back(sizing.step_f * std::pow(2.0, n));
    double worst = 1.0;
    for (const SizingLoad& load : loads) {
      worst = std::max(worst, choose_state(t, tabulate(t, load.frequency_hz), 50.0, load.z_ohm, 2.0).least_swr.swr);
    }
    CHECK(std::abs(sizing.worst_swr - worst) <= 1e-12 * worst);
    CHECK(sizing.inductor_bits + sizing.capacitor_bits + 1 == sizing.relays);
    if (result.status == TunerStatus::found && sizing.relays < result.fewest.relays) CHECK(sizing.worst_swr > 1.5);
  }
  REQUIRE(result.status == TunerStatus::found);
  CHECK(result.fewest.worst_swr <= 1.5);
}

TEST_CASE("sizing tries every candidate") {
  SizingRequest request;
  request.most_bits = 2;
  request.steps = 2;
  request.frame.capacitor_at_transmitter = false;
  const SizingLoad loads[] = {{7.1e6, {300.0, -80.0}}};
  double least = network::infinite;
  for (const double step_h : {0.05e-6, 0.8e-6}) {
    for (const double step_f : {5e-12, 80e-12}) {
      Tuner t = request.frame;
      t.inductors.values_h = {step_h, 2.0 * step_h};
      t.capacitors.values_f = {step_f, 2.0 * step_f};
      least = std::min(least, choose_state(t, tabulate(t, 7.1e6), 50.0, loads[0].z_ohm, 2.0).least_swr.swr);
    }
  }
  const SizingResult result = size_banks(request, 50.0, loads);
  CHECK(result.trade_off.back().relays == 4);
  CHECK(std::abs(result.trade_off.back().worst_swr - least) <= 1e-9 * least);
}

TEST_CASE("steps between the least and the greatest rise by one ratio") {
  // 0.05 to 0.8 uH in three are 0.05, 0.2 and 0.8 uH; 5 to 80 pF in three 5, 20 and 80 pF (by hand).
  SizingRequest request;
  request.most_bits = 1;
  request.steps = 3;
  request.steps_h = {0.05e-6, 0.8e-6};
  request.steps_f = {5e-12, 80e-12};
  request.frame.capacitor_at_transmitter = false;
  // What 0.2 uH in series behind 20 pF across turns into 50 ohm at 14 MHz: of the nine only that is a match.
  const double w = two_pi * 14e6;
  const cdouble y_at_capacitor = 1.0 / (50.0 - cdouble{0.0, w * 0.2e-6}) - cdouble{0.0, w * 20e-12};
  const SizingLoad loads[] = {{14e6, 1.0 / y_at_capacitor}};
  const SizingResult result = size_banks(request, 50.0, loads);
  REQUIRE(result.trade_off.size() == 1);
  CHECK(result.trade_off[0].step_h == Approx(0.2e-6).epsilon(1e-12));
  CHECK(result.trade_off[0].step_f == Approx(20e-12).epsilon(1e-12));
  CHECK(result.trade_off[0].worst_swr == Approx(1.0).margin(1e-9));
  for (const TunerForm form : {TunerForm::t, TunerForm::pi_network, TunerForm::lcl}) CHECK(most_sizing_bits(form) == 8);
  CHECK(most_sizing_bits(TunerForm::l) == 10);
}

TEST_CASE("sizing out of reach and bad requests say so") {
  SizingRequest request;
  request.most_bits = 2;
  request.steps = 1;
  const SizingLoad far[] = {{1.85e6, {1.0, -3000.0}}};
  const SizingResult result = size_banks(request, 50.0, far);
  CHECK(result.status == TunerStatus::out_of_reach);
  CHECK(result.trade_off.size() == 3);
  CHECK_THROWS_AS(size_banks(request, 50.0, {}), DomainError);
  request.most_bits = 11;
  CHECK_THROWS_MATCHES(size_banks(request, 50.0, far), DomainError,
                       Catch::Matchers::Message("most_bits is 11 and must be 1 to 10 for a tuner of this form"));
  request.frame.form = TunerForm::pi_network;
  request.most_bits = 9;
  CHECK_THROWS_MATCHES(size_banks(request, 50.0, far), DomainError,
                       Catch::Matchers::Message("most_bits is 9 and must be 1 to 8 for a tuner of this form"));
  request.frame.form = TunerForm::l;
  request.most_bits = 3;
  request.steps_f.low = 0.0;
  CHECK_THROWS_AS(size_banks(request, 50.0, far), DomainError);
}

TEST_CASE("the largest banks of every form can be sized") {
  for (const TunerForm form : {TunerForm::l, TunerForm::t, TunerForm::pi_network, TunerForm::lcl}) {
    SizingRequest request;
    request.frame.form = form;
    request.most_bits = most_sizing_bits(form);
    request.steps = 1;
    const SizingLoad loads[] = {{7.1e6, {50.0, 0.0}}};
    if (form == TunerForm::l) {
      const SizingResult result = size_banks(request, 50.0, loads);
      CHECK(result.status == TunerStatus::found);
      CHECK(result.trade_off.back().relays == 21);
    }
    Tuner largest = request.frame;
    const std::size_t bits = request.most_bits;
    for (std::size_t n = 1; n <= bits; ++n) {
      largest.inductors.values_h.push_back(largest_part(1e-9, n));
      largest.capacitors.values_f.push_back(largest_part(1e-12, n));
    }
    if (form == TunerForm::t || form == TunerForm::pi_network) largest.load_capacitors = largest.capacitors;
    if (form == TunerForm::lcl) largest.load_inductors = largest.inductors;
    CHECK(state_count(largest) <= most_tuner_states);
  }
  CHECK(largest_part(0.05e-6, 1) == 0.05e-6);
  CHECK(largest_part(0.05e-6, 4) == 0.4e-6);
}
