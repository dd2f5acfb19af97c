#include <stile/match/no_match.hpp>

namespace stile::match {

NoMatchReason why_no_match(const MatchRequest& request) {
  if (load::load_impedance(request.load, request.frequency_hz).real() <= 0.0) return {NoMatch::no_resistance, 0};
  const auto count = [&](bool coils_lose, bool capacitors_lose) {
    MatchRequest trial = request;
    if (!coils_lose) trial.stock.inductor_loss = {};
    if (!capacitors_lose) trial.stock.capacitor_loss = {};
    return solve_match(trial).size();
  };
  if (const std::size_t n = count(false, true)) return {NoMatch::inductor_losses, n};
  if (const std::size_t n = count(true, false)) return {NoMatch::capacitor_losses, n};
  if (const std::size_t n = count(false, false)) return {NoMatch::all_losses, n};
  return {NoMatch::beyond_losses, 0};
}

}  // namespace stile::match
