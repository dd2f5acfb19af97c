#include <stile/coil/turn_choice.hpp>

#include <cmath>
#include <tuple>

#include <stile/base/errors.hpp>

namespace stile::coil {

bool operator<(const TurnsJudged& a, const TurnsJudged& b) {
  return std::tie(a.failing, a.loss_db) < std::tie(b.failing, b.loss_db);
}

TurnChoice choose_turns(double least, double most, int patience, const std::function<TurnsJudged(double)>& judge) {
  require(most >= 1.0 && most <= 400.0, "the search for turns needs a limit from 1 to 400");
  require(least >= 1.0 && least <= most && std::floor(least) == least,
          "the search for turns starts at a whole number from 1 to its limit");
  require(patience >= 1, "the search for turns must try at least one more number");
  TurnChoice choice;
  int no_better = 0;
  const auto enough = [&] { return choice.judged.failing > 0 ? more_patient * patience : patience; };
  for (double turns = least; turns <= most && (choice.tried.empty() || no_better < enough()); turns += 1.0) {
    const TurnsJudged judged = judge(turns);
    choice.tried.push_back({turns, judged});
    if (choice.tried.size() == 1 || judged < choice.judged) {
      choice.turns = turns;
      choice.judged = judged;
      no_better = 0;
    } else {
      ++no_better;
    }
  }
  return choice;
}

}  // namespace stile::coil
