#include <catch2/catch.hpp>

#include <stile/base/errors.hpp>
#include <stile/match/no_match.hpp>

using namespace stile;
using namespace stile::match;

namespace {

/// A pi of loaded Q 10 between equal resistances. A loaded Q, energy over power, is below the Q of lossy parts of one
/// kind.
MatchRequest pi_of_q_10(double inductor_q, double capacitor_q) {
  MatchRequest r;
  r.form = Form::pi_network;
  r.frequency_hz = 14.2e6;
  r.source = {50.0, 1.0};
  r.load = {"load", "test", load::ConstantLoad{50.0}, {}};
  r.freedom = Freedom::loaded_q;
  r.freedom_value = 10.0;
  r.stock = {{inductor_q}, {capacitor_q}, 0.0, 1e-9, 1e-3, 1e-14, 1e-6};
  return r;
}

void check_reason(const MatchRequest& request, NoMatch why, std::size_t networks) {
  REQUIRE(solve_match(request).empty());
  const NoMatchReason reason = why_no_match(request);
  CHECK(reason.why == why);
  CHECK(reason.networks == networks);
}

}  // namespace

TEST_CASE("why nothing matches names the losses that exclude all networks") {
  REQUIRE(solve_match(pi_of_q_10(network::infinite, network::infinite)).size() == 2);
  check_reason(pi_of_q_10(8.0, network::infinite), NoMatch::inductor_losses, 2);
  check_reason(pi_of_q_10(network::infinite, 8.0), NoMatch::capacitor_losses, 2);
  check_reason(pi_of_q_10(8.0, 8.0), NoMatch::all_losses, 2);
  // The capacitors' losses alone would let some be, and the other way round.
  CHECK(why_no_match(pi_of_q_10(8.0, 1000.0)).why == NoMatch::inductor_losses);
  CHECK(why_no_match(pi_of_q_10(1000.0, 8.0)).why == NoMatch::capacitor_losses);
}

TEST_CASE("without resistance, and within limits that leave nothing, losses are not the reason") {
  MatchRequest request = pi_of_q_10(8.0, 8.0);
  request.load.model = load::ConstantLoad{{0.0, -5.0}};
  check_reason(request, NoMatch::no_resistance, 0);
  request = pi_of_q_10(8.0, 8.0);
  request.stock.least_inductance_h = 1e-3, request.stock.most_inductance_h = 2e-3;      // 89 kohm and more
  request.stock.least_capacitance_f = 1e-15, request.stock.most_capacitance_f = 2e-15;  // 5 Mohm and more
  check_reason(request, NoMatch::beyond_losses, 0);
  request.frequency_hz = 0.0;
  CHECK_THROWS_AS(why_no_match(request), DomainError);
}
