#include <cmath>
#include <string>
#include <vector>

#include <catch2/catch.hpp>

#include <stile/base/errors.hpp>
#include <stile/coil/analysis.hpp>
#include <stile/coil/turns.hpp>

#include "reference.hpp"

using namespace stile;
using namespace stile::coil;
using namespace stile::coil::test;

namespace {

double inductance_h(double turns, double frequency_hz) {
  const Winding w = plain_winding(turns, 41e-3, 2e-3, 1e-3);
  return analyse(w, whole(w, Grounded::from), frequency_hz).inductance_h;
}

}  // namespace

TEST_CASE("turns come nearest to the inductance asked for") {
  const Winding w = plain_winding(1.0, 41e-3, 2e-3, 1e-3);
  for (const double wanted : {2e-6, 7.7e-6, 21.7e-6}) {
    for (const double step : {1.0, 0.5, 0.25}) {
      INFO(wanted << " H at steps of " << step);
      const TurnsFound found = find_turns(w, wanted, 7.1e6, step, 150.0);
      REQUIRE(found.status == TurnsStatus::found);
      CHECK(std::fmod(found.nearest, step) == 0.0);
      CHECK(off(found.inductance_h, inductance_h(found.nearest, 7.1e6)) <= 1e-12);
      const double error = std::abs(found.inductance_h - wanted);
      CHECK(error <= std::abs(inductance_h(found.nearest + step, 7.1e6) - wanted));
      CHECK(error <= std::abs(inductance_h(found.nearest - step, 7.1e6) - wanted));
      // The straight line: what 0.03 turns are worth.
      const double slope = inductance_h(found.continuous + 0.5, 7.1e6) - inductance_h(found.continuous - 0.5, 7.1e6);
      CHECK(std::abs(inductance_h(found.continuous, 7.1e6) - wanted) <= 0.03 * slope);
    }
  }
}

TEST_CASE("a search for turns says how it ended") {
  const Winding w = plain_winding(1.0, 41e-3, 2e-3, 1e-3);
  CHECK(find_turns(w, 9e-3, 7.1e6, 0.25, 20.0).status == TurnsStatus::too_many);
  CHECK(find_turns(w, 1e-9, 7.1e6, 0.25, 20.0).status == TurnsStatus::below_one_turn);
  CHECK(TurnsFound{}.status == TurnsStatus::not_run);
  CHECK_THROWS_AS(find_turns(w, -1e-6, 7.1e6, 0.25, 20.0), DomainError);
  CHECK_THROWS_AS(find_turns(w, 1e-6, 7.1e6, 0.3, 20.0), DomainError);
  CHECK_THROWS_AS(find_turns(w, 1e-6, 7.1e6, 0.25, 1e9), DomainError);
  CHECK_THROWS_AS(find_turns(w, 1e-6, 0.0, 0.25, 20.0), DomainError);
}

TEST_CASE("a search for turns keeps to its limit") {
  const Winding w = plain_winding(1.0, 41e-3, 2e-3, 1e-3);
  const double between = 0.5 * (inductance_h(20.0, 7.1e6) + inductance_h(20.25, 7.1e6));
  const TurnsFound beyond = find_turns(w, between, 7.1e6, 0.25, 20.0);
  CHECK(beyond.status == TurnsStatus::too_many);
  CHECK(beyond.nearest == 20.0);
  CHECK(off(beyond.inductance_h, inductance_h(20.0, 7.1e6)) <= 1e-12);
  const TurnsFound within = find_turns(w, between, 7.1e6, 0.25, 20.3);
  CHECK(within.status == TurnsStatus::found);
  CHECK(within.nearest <= 20.25);
  CHECK(within.continuous <= 20.25);
  const TurnsFound exact = find_turns(w, inductance_h(20.0, 7.1e6), 7.1e6, 0.25, 20.0);
  CHECK(exact.status == TurnsStatus::found);
  CHECK(exact.nearest == 20.0);
  CHECK(find_turns(w, 1.5 * inductance_h(1.0, 7.1e6), 7.1e6, 0.25, 1.0).status == TurnsStatus::too_many);
}

TEST_CASE("turns are found with even current, and few numbers of turns are computed") {
  // Close wire: more turns than the boundary integral takes at this spacing (187).
  const Winding w = plain_winding(1.0, 42e-3, 2e-3, 1.9e-3);
  RingOptions even;
  even.currents = CurrentModel::even;
  std::vector<std::string> lines;
  const TurnsFound found =
      find_turns(w, 170e-6, 1e6, 0.25, 400.0, even, [&](const std::string& line) { lines.push_back(line); });
  REQUIRE(found.status == TurnsStatus::found);
  CHECK(found.nearest > 187.0);
  Winding n = w;
  n.sections.front().turns = found.nearest;
  const CoilModel model = coil_model(n, even);
  CHECK(off(found.inductance_h, analyse(model, solve_turns(model, 1e6), whole(n, Grounded::from)).inductance_h) <=
        1e-12);
  CHECK(off(found.inductance_h, 170e-6) <= 1e-3);
  CHECK(lines.size() >= 5);  // two whole turns and the quarters between
  CHECK(lines.size() <= 8);  // the first guess, and its correction one off at most
}
