#include <stile/plan/own_search.hpp>

#include <stile/base/errors.hpp>
#include <stile/base/parallel.hpp>
#include <stile/plan/detail/judge.hpp>
#include <stile/plan/detail/own_walk.hpp>

namespace stile::plan {

std::vector<OwnSearch> own_searches(const station::Station& solved, const Plan& plan, unsigned threads) {
  require(plan.bands.size() == solved.bands.size(), "the plan is of another station");
  const station::Transmitter& transmitter = solved.transmitter;
  std::vector<OwnSearch> all;
  for (std::size_t b = 0; b < plan.bands.size(); ++b) {
    require(plan.bands[b].arrangements.size() == solved.arrangements.size(), "the plan is of another station");
    for (std::size_t n = 0; n < solved.arrangements.size(); ++n) {
      if (!station::describe_kind(solved.arrangements[n].kind).automatic) continue;
      for (std::size_t c = 0; c < solved.conditions.size(); ++c) {
        if (solved.conditions[c].role != station::Role::normal) continue;
        if (plan.bands[b].arrangements[n].conditions[c].possible) all.push_back({b, n, c, {}});
      }
    }
  }
  in_blocks(all.size(), 1, threads, [&](std::size_t first, std::size_t last) {
    for (std::size_t k = first; k < last; ++k) {
      OwnSearch& s = all[k];
      const station::Arrangement& a = solved.arrangements[s.arrangement];
      const ConditionResult& best = plan.bands[s.band].arrangements[s.arrangement].conditions[s.condition];
      const detail::OwnWalk own =
          detail::own_walk(transmitter, a, best.evaluation.frequency_hz, best.evaluation.z_load_ohm);
      s.walk = own.walk;
      s.swr = own.left.swr;
      s.loss_db = detail::counted_loss_db(transmitter, own.left, 1.0);
      s.lost_db = s.loss_db - best.loss_db;
      s.offered_w = own.offered_w;
      s.can_tune = own.can_tune;
    }
  });
  return all;
}

}  // namespace stile::plan
