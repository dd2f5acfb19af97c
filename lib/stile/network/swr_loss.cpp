#include <stile/network/swr_loss.hpp>

#include <cmath>
#include <numbers>

#include <stile/base/errors.hpp>

namespace stile::network {

namespace {

void require_arguments(double matched_loss_db, double swr_at_load) {
  require(std::isfinite(matched_loss_db) && matched_loss_db >= 0.0, "a matched loss must be finite and >= 0 dB");
  require(std::isfinite(swr_at_load) && swr_at_load >= 1.0, "an SWR at the load must be finite and at least 1");
}

constexpr double neper_power_per_db = std::numbers::ln10 / 10.0;

}  // namespace

double total_loss_db(double matched_loss_db, double swr_at_load) {
  require_arguments(matched_loss_db, swr_at_load);
  // (a^2 - r^2) / (a^2 (1 - r^2)) = 1 + (1 - 1/a^2) r^2/(1 - r^2), and r^2/(1 - r^2) = (s - 1)^2 / (4 s): no small
  // differences are left.
  const double lost_both_ways = -std::expm1(-2.0 * neper_power_per_db * matched_loss_db);
  const double stored = 0.25 * (swr_at_load - 1.0) * ((swr_at_load - 1.0) / swr_at_load);
  return matched_loss_db + std::log1p(lost_both_ways * stored) / neper_power_per_db;
}

double swr_at_input(double matched_loss_db, double swr_at_load) {
  require_arguments(matched_loss_db, swr_at_load);
  // (a + r)/(a - r) times (s + 1) above and below, with a - 1 kept as one number.
  const double gain = std::expm1(neper_power_per_db * matched_loss_db) * (swr_at_load + 1.0);
  return (gain + 2.0 * swr_at_load) / (gain + 2.0);
}

}  // namespace stile::network
