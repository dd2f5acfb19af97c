// Reading and judging a sweep of a million points, beside the plain stream reader that it must not be slower than.

#include <cmath>
#include <cstdio>
#include <sstream>
#include <string>
#include <vector>

#include <benchmark/benchmark.h>

#include <stile/sweep/judge.hpp>

namespace {

using namespace stile;

constexpr std::size_t points = 1000000;

const std::string& text() {
  static const std::string made = [] {
    std::string t = "# Hz S RI R 50\n";
    char line[96];
    for (std::size_t i = 0; i < points; ++i) {
      const double x = 1e-6 * static_cast<double>(i), noise = 1e-4 * std::sin(1e4 * x * x);
      const int n = std::snprintf(line, sizeof line, "%zu %.9f %.9f\n", 1000000 + 30 * i,
                                  0.7 * std::cos(9.0 * x) + noise, -0.7 * std::sin(9.0 * x) - noise);
      t.append(line, static_cast<std::size_t>(n));
    }
    return t;
  }();
  return made;
}

void million_points_stream(benchmark::State& state) {  // what anybody would write, without a check of anything
  for (auto _ : state) {
    std::istringstream in(text());
    std::string head;
    std::getline(in, head);
    std::vector<double> f, a, b;
    double x = 0.0, y = 0.0, z = 0.0;
    while (in >> x >> y >> z) f.push_back(x), a.push_back(y), b.push_back(z);
    benchmark::DoNotOptimize(f.data());
  }
}
BENCHMARK(million_points_stream)->Unit(benchmark::kMillisecond);

void million_points_read(benchmark::State& state) {
  for (auto _ : state) benchmark::DoNotOptimize(sweep::read_sweep_text(text(), "a.s1p").values.data());
}
BENCHMARK(million_points_read)->Unit(benchmark::kMillisecond);

const std::string& keyword_text() {
  static const std::string made = [] {
    const std::string& plain = text();
    return "[Version] 2.0\n# Hz S RI R 50\n[Number of Ports] 1\n[Number of Frequencies] " + std::to_string(points) +
           "\n[Network Data]\n" + plain.substr(plain.find('\n') + 1) + "[End]\n";
  }();
  return made;
}

void million_points_of_keywords_read(benchmark::State& state) {
  for (auto _ : state) benchmark::DoNotOptimize(sweep::read_sweep_text(keyword_text(), "a.ts").values.data());
}
BENCHMARK(million_points_of_keywords_read)->Unit(benchmark::kMillisecond);

void million_points_judge(benchmark::State& state) {
  const sweep::Sweep read = sweep::read_sweep_text(text(), "a.s1p");
  for (auto _ : state) benchmark::DoNotOptimize(sweep::judge(read).findings.data());
}
BENCHMARK(million_points_judge)->Unit(benchmark::kMillisecond);

}  // namespace
