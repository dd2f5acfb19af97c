#include <stile/wire/detail/rational.hpp>

#include <algorithm>
#include <cmath>

#include <Eigen/Core>
#include <Eigen/SVD>

namespace stile::wire::detail {

RationalFit::RationalFit(const std::vector<Sample>& samples, std::size_t count) {
  for (const Sample& s : samples) places_.push_back(s.at);
  for (std::size_t j = 0; j < count; ++j)
    support_.push_back(count == 1 ? samples.size() / 2 : j * (samples.size() - 1) / (count - 1));
  weights_.assign(count, 1.0);
  std::vector<std::size_t> others;
  for (std::size_t i = 0; i < samples.size(); ++i) {
    if (!std::binary_search(support_.begin(), support_.end(), i)) others.push_back(i);
  }
  if (others.empty()) return;

  // Sum of w_j (v_i - v_j)/(t_i - t_j) shall vanish at each other sample.
  const std::size_t size = samples.front().values.size();
  Eigen::MatrixXcd differences(static_cast<Eigen::Index>(others.size() * size), static_cast<Eigen::Index>(count));
  Eigen::Index row = 0;
  for (const std::size_t i : others) {
    for (std::size_t v = 0; v < size; ++v, ++row) {
      for (std::size_t j = 0; j < count; ++j) {
        const Sample& support = samples[support_[j]];
        differences(row, static_cast<Eigen::Index>(j)) =
            samples[i].weights[v] * (samples[i].values[v] - support.values[v]) / (samples[i].at - support.at);
      }
    }
  }
  const Eigen::JacobiSVD<Eigen::MatrixXcd> svd(differences, Eigen::ComputeThinV);
  const Eigen::VectorXcd least = svd.matrixV().col(svd.matrixV().cols() - 1);
  weights_.assign(least.data(), least.data() + least.size());

  for (const std::size_t i : others) {
    const std::vector<cdouble> share = shares(samples[i].at);
    for (std::size_t v = 0; v < size; ++v) {
      cdouble sum = -samples[i].values[v];
      for (const std::size_t j : support_) sum += share[j] * samples[j].values[v];
      misfit_ = std::max(misfit_, samples[i].weights[v] * std::abs(sum));
    }
  }
}

std::vector<cdouble> RationalFit::shares(double at) const {
  std::vector<cdouble> share(places_.size(), 0.0);
  cdouble sum = 0.0;
  for (std::size_t j = 0; j < support_.size(); ++j) {
    const double distance = at - places_[support_[j]];
    if (distance == 0.0) {
      std::fill(share.begin(), share.end(), 0.0);
      share[support_[j]] = 1.0;
      return share;
    }
    share[support_[j]] = weights_[j] / distance;
    sum += share[support_[j]];
  }
  for (cdouble& s : share) s /= sum;
  return share;
}

RationalFit rational_fit(const std::vector<Sample>& samples, double tolerance) {
  RationalFit best(samples, 1);
  for (std::size_t count = 2; count <= (samples.size() + 1) / 2 && best.misfit() > tolerance; ++count) {
    RationalFit next(samples, count);
    if (next.misfit() < best.misfit()) best = std::move(next);
  }
  return best;
}

}  // namespace stile::wire::detail
