#include <stile/load/touchstone.hpp>

#include <algorithm>
#include <charconv>
#include <cmath>
#include <deque>
#include <span>
#include <utility>

#include <stile/base/constants.hpp>
#include <stile/load/detail/touchstone_lines.hpp>

namespace stile::load {
namespace touchstone = detail::touchstone;

namespace {

using touchstone::Line;
using touchstone::lower;
using touchstone::Word;

using Format = TouchstoneFormat;

std::string quoted(std::string_view text) { return "\"" + std::string(text) + "\""; }

std::string counted(std::size_t n, const char* noun) { return std::to_string(n) + " " + noun + (n == 1 ? "" : "s"); }

double positive(const Word& word, std::size_t line, const std::string& file) {
  const double value = touchstone::number(word, line, file);
  if (!(value > 0.0)) throw ParseError({file, line, word.column}, "a reference resistance must be greater than 0 ohm");
  return value;
}

TouchstoneOption option_of(const Line& line, const std::string& file) {
  const auto fail = [&](std::size_t column, const std::string& message) {
    throw ParseError({file, line.number, column}, message);
  };
  TouchstoneOption option;
  option.line = line.number;
  std::vector<Word> words = line.words;
  if (words.front().column != 1) option.warnings.push_back({line.number, "blanks before the option line"});
  if (words.front().text.size() > 1) {
    option.warnings.push_back({line.number, "no blank after '#'"});
    words.front() = {words.front().text.substr(1), words.front().column + 1};
  } else {
    words.erase(words.begin());
  }
  bool unit = false, kind = false, format = false, reference = false;
  const auto once = [&](bool& seen, const Word& word, const char* what) {
    if (seen) fail(word.column, std::string("a second ") + what + " on the option line");
    seen = true;
  };
  for (std::size_t i = 0; i < words.size(); ++i) {
    const Word& word = words[i];
    const std::string text = lower(word.text);
    if (text == "hz" || text == "khz" || text == "mhz" || text == "ghz") {
      once(unit, word, "frequency unit");
      option.exponent = text == "hz" ? 0 : text == "khz" ? 3 : text == "mhz" ? 6 : 9;
    } else if (text == "s" || text == "y" || text == "z" || text == "h" || text == "g") {
      once(kind, word, "parameter");
      option.kind = text == "s"   ? TouchstoneKind::s
                    : text == "y" ? TouchstoneKind::y
                    : text == "z" ? TouchstoneKind::z
                    : text == "h" ? TouchstoneKind::h
                                  : TouchstoneKind::g;
    } else if (text == "db" || text == "ma" || text == "ri") {
      once(format, word, "format");
      option.format = text == "db" ? Format::db : text == "ma" ? Format::ma : Format::ri;
    } else if (text == "r") {
      once(reference, word, "reference");
      option.reference_column = word.column;
      option.reference_ohm.clear();
      while (i + 1 < words.size() && touchstone::looks_like_number(words[i + 1].text))
        option.reference_ohm.push_back(positive(words[++i], line.number, file));
      if (option.reference_ohm.empty()) {
        const std::size_t column = i + 1 < words.size() ? words[i + 1].column : word.column;
        fail(column, "R needs a resistance in ohm behind it, for instance R 50");
      }
    } else {
      fail(word.column, quoted(word.text) +
                            " is not known on the option line; legal: Hz kHz MHz GHz, S Y Z H G, DB MA RI, R and a "
                            "positive resistance");
    }
  }
  return option;
}

class Reader {
public:
  /// @param take  gets the points of a version 2 file; nothing: they are kept
  explicit Reader(std::string file, TouchstoneLines::Take take = {}) : take_(std::move(take)) {
    result_.file = std::move(file);
  }

  TouchstoneFile run(std::string_view text) {
    text_ = touchstone::split(text, result_.file);
    if (text_.lines.empty()) fail(text_.last_line, 0, "the file holds no data");
    const Line& first = text_.lines.front();
    if (first.words.front().text.front() == '[') {
      read_version_2();
    } else {
      read_version_1();
    }
    return finished();
  }

  // A version 2 file in pieces: all to [Network Data], then line by line to the next keyword, then the rest.

  void take_head(std::string_view text, std::size_t first) {
    text_ = touchstone::split(text, result_.file, first);
    read_head();
  }
  /// @return  false: it begins with a keyword and was not taken
  bool take_data(std::string_view line, std::size_t number) {
    for (const Line& one : touchstone::split(line, result_.file, number).lines) {
      if (is_keyword(one)) return false;
      take_network_line(one);
    }
    // The words of a point that is not complete outlive their line.
    for (PlacedWord& placed : network_.words) {
      if (placed.line == number) placed.word.text = kept_.emplace_back(placed.word.text);
    }
    return true;
  }
  TouchstoneFile take_tail(std::string_view text, std::size_t first) {
    text_ = touchstone::split(text, result_.file, first);
    read_tail(0);
    return finished();
  }

private:
  TouchstoneFile finished() {
    std::stable_sort(result_.warnings.begin(), result_.warnings.end(),
                     [](const auto& a, const auto& b) { return a.line < b.line; });
    return std::move(result_);
  }

  [[noreturn]] void fail(std::size_t line, std::size_t column, const std::string& message) const {
    throw ParseError({result_.file, line, column}, message);
  }
  [[noreturn]] void fail(const Line& line, const std::string& message) const {
    fail(line.number, line.words.front().column, message);
  }
  void warn(std::size_t line, std::string message) { result_.warnings.push_back({line, std::move(message)}); }

  static bool is_option(const Line& line) { return line.words.front().text.front() == '#'; }
  static bool is_keyword(const Line& line) { return line.words.front().text.front() == '['; }

  // ---- option line

  TouchstoneOption read_option(const Line& line, bool several_references) {
    TouchstoneOption option = option_of(line, result_.file);
    for (const TouchstoneWarning& w : option.warnings) result_.warnings.push_back(w);
    if (option.reference_ohm.size() > 1 && !several_references)
      fail(line.number, option.reference_column,
           "several references on the option line of a version 2 file; they belong behind [Reference]");
    return option;
  }

  void take_option(const TouchstoneOption& option) {
    option_ = option;
    result_.kind = option.kind;
    result_.option_reference_ohm = option.reference_ohm.front();
  }

  void check_kind_against_ports() const {
    if ((result_.kind == TouchstoneKind::h || result_.kind == TouchstoneKind::g) && result_.ports != 2)
      fail(option_.line, 0,
           "H and G parameters exist for two ports only, this file has " + std::to_string(result_.ports));
  }

  // ---- numbers to values

  cdouble pair_value(const Word& first, const Word& second, long double factor, std::size_t line_1,
                     std::size_t line_2) const {
    const auto scaled = [&](const Word& word, std::size_t line) {
      return factor == 1.0L ? touchstone::number(word, line, result_.file)
                            : touchstone::scaled_number(word, factor, line, result_.file);
    };
    if (option_.format == Format::ri) return {scaled(first, line_1), scaled(second, line_2)};
    double magnitude = 0.0;
    if (option_.format == Format::db) {
      magnitude = std::pow(10.0, touchstone::number(first, line_1, result_.file) / 20.0) * static_cast<double>(factor);
    } else {
      magnitude = scaled(first, line_1);
      if (magnitude < 0.0)
        fail(line_1, first.column,
             "a magnitude must not be negative; real and imaginary parts need RI on the option line");
    }
    if (!std::isfinite(magnitude)) fail(line_1, first.column, "the magnitude is outside the range of a double");
    return touchstone_polar(magnitude, touchstone::number(second, line_2, result_.file));
  }

  long double factor(std::size_t row, std::size_t column) const {
    return result_.version.front() == '2' ? 1.0L
                                          : touchstone_factor(result_.kind, row, column, option_.reference_ohm.front());
  }

  struct PlacedWord {
    Word word;
    std::size_t line = 0;
  };

  double frequency(const PlacedWord& placed) const {
    const double value = touchstone::shifted_number(placed.word, option_.exponent, placed.line, result_.file);
    if (value < 0.0) fail(placed.line, placed.word.column, "a frequency must not be negative");
    return value;
  }

  void check_rising(double frequency_hz, const PlacedWord& placed, double before_hz, std::size_t before_line) const {
    if (frequency_hz > before_hz) return;
    const char* what = frequency_hz == before_hz ? "repeats the frequency of line " : "is below the frequency of line ";
    fail(placed.line, placed.word.column,
         quoted(placed.word.text) + " " + what + std::to_string(before_line) + "; frequencies must strictly increase");
  }

  /// One point from its numbers; `place[k]` is the row-by-row index of the k-th pair.
  void add_point(std::span<const PlacedWord> words, const std::vector<std::size_t>& place, bool symmetric) {
    const double before_hz = point_.frequency_hz;
    const std::size_t before_line = point_.line;
    TouchstonePoint& point = point_;
    point.line = words[0].line;
    point.column = words[0].word.column;
    point.value_line = words[1].line;
    point.value_column = words[1].word.column;
    point.frequency_hz = frequency(words.front());
    if (before_line > 0) check_rising(point.frequency_hz, words.front(), before_hz, before_line);
    const std::size_t n = result_.ports;
    point.matrix.resize(n * n);
    for (std::size_t k = 0; k < place.size(); ++k) {
      const std::size_t row = place[k] / n, column = place[k] % n;
      const PlacedWord& first = words[1 + 2 * k];
      const PlacedWord& second = words[2 + 2 * k];
      const cdouble value = pair_value(first.word, second.word, factor(row, column), first.line, second.line);
      point.matrix[row * n + column] = value;
      if (symmetric) point.matrix[column * n + row] = value;
    }
    if (take_)
      take_(point);
    else
      result_.points.push_back(point);
  }

  void add_noise(std::span<const PlacedWord> words) {
    TouchstoneNoisePoint point;
    point.line = words[0].line;
    point.frequency_hz = frequency(words[0]);
    if (!result_.noise.empty())
      check_rising(point.frequency_hz, words[0], result_.noise.back().frequency_hz, result_.noise.back().line);
    const auto value = [&](std::size_t i) { return touchstone::number(words[i].word, words[i].line, result_.file); };
    point.minimum_noise_figure_db = value(1);
    const double magnitude = value(2);
    if (magnitude < 0.0) fail(words[2].line, words[2].word.column, "a magnitude must not be negative");
    point.optimum_reflection = touchstone_polar(magnitude, value(3));
    const auto rn_factor =
        result_.version.front() == '2' ? 1.0L : static_cast<long double>(result_.option_reference_ohm);
    point.noise_resistance_ohm = touchstone::scaled_number(words[4].word, rn_factor, words[4].line, result_.file);
    result_.noise.push_back(point);
  }

  static std::vector<PlacedWord> placed(const Line& line) {
    std::vector<PlacedWord> words;
    for (const Word& word : line.words) words.push_back({word, line.number});
    return words;
  }

  // A word that is no number is a better reason than the count of words it spoils.
  void check_numbers(const std::vector<PlacedWord>& words) const {
    for (const PlacedWord& word : words) (void)touchstone::number(word.word, word.line, result_.file);
  }

  // Order of the pairs in the text, as row-by-row indices.
  std::vector<std::size_t> full_order(bool column_by_column) const {
    const std::size_t n = result_.ports;
    std::vector<std::size_t> place(n * n);
    for (std::size_t k = 0; k < place.size(); ++k) place[k] = column_by_column ? k % n * n + k / n : k;
    return place;
  }

  // ---- version 1

  void read_version_1() {
    result_.version = "1.0";
    bool option_seen = false;
    std::vector<const Line*> data;
    for (const Line& line : text_.lines) {
      if (is_keyword(line))
        fail(line, lower(line.words.front().text) == "[version]"
                       ? "[Version] must be the first line that is not a comment"
                       : "a keyword in a file that does not begin with [Version] 2.0 or 2.1");
      if (is_option(line)) {
        if (option_seen) {
          warn(line.number, "a further option line has no effect");
          continue;
        }
        option_seen = true;
        take_option(read_option(line, true));
        continue;
      }
      if (!option_seen)
        fail(line, "no option line before the data; a version 1 file needs one, for instance \"# MHz S RI R 50\"");
      data.push_back(&line);
    }
    const auto from_name = ports_of_touchstone_name(result_.file);
    if (data.empty()) {
      if (from_name) result_.ports = *from_name;
      if (from_name) check_kind_against_ports();
      fail(text_.last_line, 0, "the file ends without data");
    }
    result_.ports = from_name ? *from_name : ports_of_first_line(*data.front());
    check_kind_against_ports();
    take_references();
    if (result_.ports <= 2) {
      read_short_lines(data);
    } else {
      read_rows(data);
    }
  }

  std::size_t ports_of_first_line(const Line& line) const {
    if (line.words.size() == 3) return 1;
    if (line.words.size() == 9) return 2;
    fail(line, counted(line.words.size(), "number") +
                   " on the first data line; 3 (one port) and 9 (two ports) can be told apart without a file name that "
                   "ends in .s1p, .s2p ...");
  }

  void take_references() {
    const std::size_t given = option_.reference_ohm.size();
    if (given > 1) {
      result_.version = "1.1";
      if (given != result_.ports)
        fail(option_.line, option_.reference_column,
             counted(given, "reference") + " after R for " + counted(result_.ports, "port") +
                 "; legal: one, or one a port");
      const bool equal = std::all_of(option_.reference_ohm.begin(), option_.reference_ohm.end(),
                                     [&](double r) { return r == option_.reference_ohm.front(); });
      if (!equal && result_.kind != TouchstoneKind::s)
        fail(
            option_.line, option_.reference_column,
            "different references a port are defined for S parameters only, other values have no stated normalisation");
      result_.reference_ohm = option_.reference_ohm;
    } else {
      result_.reference_ohm.assign(result_.ports, option_.reference_ohm.front());
    }
  }

  // One and two ports: a point is a line; two ports may have noise lines of five numbers at the end.
  void read_short_lines(const std::vector<const Line*>& data) {
    const std::size_t expected = 1 + 2 * result_.ports * result_.ports;
    const auto place = full_order(true);
    for (const Line* line : data) {
      const auto words = placed(*line);
      check_numbers(words);
      const bool noise_line = result_.ports == 2 && words.size() == 5 && !result_.points.empty();
      if (noise_line) {
        if (result_.noise.empty() && frequency(words.front()) > result_.points.back().frequency_hz)
          fail(*line, "five numbers (noise data), but the first noise frequency must not be above the last network "
                      "frequency, on line " +
                          std::to_string(result_.points.back().line));
        add_noise(words);
        continue;
      }
      if (!result_.noise.empty())
        fail(*line, counted(words.size(), "number") + " on a line of the noise data; it has 5");
      if (words.size() != expected)
        fail(line->number, words.size() > expected ? words[expected].word.column : words.front().word.column,
             counted(words.size(), "number") + " on a data line; a file of " + counted(result_.ports, "port") +
                 " has " + std::to_string(expected) + " (frequency and " + counted(expected / 2, "pair") + ")");
      add_point(words, place, false);
    }
  }

  // Three ports and more: row by row, each row on a new line.
  void read_rows(const std::vector<const Line*>& data) {
    const std::size_t n = result_.ports;
    const auto place = full_order(false);
    std::vector<PlacedWord> point;
    std::size_t in_row = 0;  // pairs of the current row read so far
    for (const Line* line : data) {
      const auto words = placed(*line);
      check_numbers(words);
      const std::size_t numbers = words.size() - (point.empty() ? 1 : 0);
      if (numbers % 2 != 0 || numbers == 0)
        fail(*line,
             counted(words.size(), "number") + (point.empty() ? " where a point begins; it takes a frequency and pairs"
                                                              : " inside a point; it takes whole pairs"));
      const std::size_t pairs = numbers / 2;
      if (pairs > 4) warn(line->number, "more than four pairs on a line");
      in_row += pairs;
      if (in_row > n)
        fail(*line, "a row of a " + std::to_string(n) + "-port has " + counted(n, "pair") + ", here are " +
                        std::to_string(in_row) + "; each row begins on a new line");
      point.insert(point.end(), words.begin(), words.end());
      if (in_row == n) in_row = 0;
      if (point.size() == 1 + 2 * n * n) {
        add_point(point, place, false);
        point.clear();
      }
    }
    if (!point.empty())
      fail(text_.last_line, 0,
           "the file ends inside a point: " + counted(point.size(), "number") + " of " + std::to_string(1 + 2 * n * n));
  }

  // ---- version 2

  struct Keyword {
    std::string name;  // lower case, words separated by one blank
    std::vector<Word> arguments;
  };

  void warn_if_indented(const Line& line) {
    if (line.words.front().column != 1) warn(line.number, "blanks before a keyword");
  }

  Keyword read_keyword(const Line& line) const {
    const std::size_t begin = line.words.front().column - 1;
    const std::size_t end = line.text.find(']', begin);
    if (end == std::string_view::npos) fail(line, "a keyword without its closing bracket");
    Keyword keyword;
    keyword.name = lower(line.text.substr(begin + 1, end - begin - 1));
    std::replace(keyword.name.begin(), keyword.name.end(), '-', ' ');
    for (const Word& word : line.words) {
      if (word.column > end + 1) keyword.arguments.push_back(word);
      if (word.column <= end + 1 && word.column + word.text.size() > end + 2)
        fail(line.number, end + 2, "a keyword and its argument are separated by a blank");
    }
    return keyword;
  }

  const Word& only_argument(const Keyword& keyword, const Line& line, const char* legal) const {
    if (keyword.arguments.size() != 1)
      fail(line, "[" + keyword.name + "] takes one argument (" + legal + "), here are " +
                     std::to_string(keyword.arguments.size()));
    return keyword.arguments.front();
  }

  void no_argument(const Keyword& keyword, const Line& line) const {
    if (!keyword.arguments.empty())
      fail(line.number, keyword.arguments.front().column, "[" + keyword.name + "] takes no argument");
  }

  std::size_t count_argument(const Keyword& keyword, const Line& line) const {
    const Word& word = only_argument(keyword, line, "a whole number from 1");
    std::size_t value = 0;
    const auto result = std::from_chars(word.text.data(), word.text.data() + word.text.size(), value);
    if (result.ec != std::errc() || result.ptr != word.text.data() + word.text.size() || value == 0 ||
        value > 1000000000)
      fail(line.number, word.column, quoted(word.text) + " is not a whole number from 1 to 1000000000");
    return value;
  }

  template <class Value>
  void once(std::optional<Value>& slot, Value value, const Line& line) const {
    if (slot) fail(line, "this keyword may stand once only");
    slot = std::move(value);
  }

  Keyword keyword_at(std::size_t i, const char* name, const char* rule) {
    const auto& lines = text_.lines;
    if (i >= lines.size()) fail(text_.last_line, 0, rule);
    if (!is_keyword(lines[i])) fail(lines[i], rule);
    Keyword keyword = read_keyword(lines[i]);
    if (keyword.name != name) fail(lines[i], rule);
    warn_if_indented(lines[i]);
    return keyword;
  }

  void read_version_2() {
    std::size_t next = read_head();
    for (; next < text_.lines.size() && !is_keyword(text_.lines[next]); ++next) take_network_line(text_.lines[next]);
    read_tail(next);
  }

  /// @return index of the line behind [Network Data]
  std::size_t read_head() {
    const auto& lines = text_.lines;
    const Keyword version = keyword_at(0, "version", "the first keyword must be [Version] 2.0 or [Version] 2.1");
    const Word& number = only_argument(version, lines[0], "2.0 or 2.1");
    if (number.text != "2.0" && number.text != "2.1")
      fail(lines[0].number, number.column, "version " + quoted(number.text) + " is not known; legal: 2.0, 2.1");
    result_.version = std::string(number.text);

    if (lines.size() < 2) fail(text_.last_line, 0, "an option line must follow [Version]");
    if (!is_option(lines[1])) fail(lines[1], "an option line must follow [Version], for instance \"# MHz S RI R 50\"");
    take_option(read_option(lines[1], false));

    const Keyword ports = keyword_at(2, "number of ports", "[Number of Ports] must follow the option line");
    result_.ports = count_argument(ports, lines[2]);
    if (result_.ports > 1000) fail(lines[2], "more than 1000 ports");
    if (const auto named = ports_of_touchstone_name(result_.file); named && *named != result_.ports)
      fail(lines[2], counted(result_.ports, "port") + " declared, the file name says " + std::to_string(*named));
    check_kind_against_ports();

    return read_header(3);
  }

  /// From the keyword behind the network data on.
  void read_tail(std::size_t next) {
    const auto& lines = text_.lines;
    end_groups(network_, next, 1 + 2 * place_.size(), *frequencies_, "point");
    next = read_noise_data(next);
    if (next >= lines.size()) fail(text_.last_line, 0, "[End] is missing; it is required");
    no_argument(keyword_at(next, "end", "[End] is expected here"), lines[next]);
    if (next + 1 < lines.size()) fail(lines[next + 1], "only comments may follow [End]");
  }

  enum class Shape { full, lower, upper };

  /// Keywords up to [Network Data]. @return index of the line behind it
  std::size_t read_header(std::size_t i) {
    std::optional<bool> column_by_column, information;
    std::optional<Shape> shape;
    std::optional<std::vector<double>> reference;
    const auto& lines = text_.lines;
    while (true) {
      if (i >= lines.size()) fail(text_.last_line, 0, "[Network Data] is missing");
      const Line& line = lines[i];
      if (is_option(line)) {
        warn(line.number, "a further option line has no effect");
        ++i;
        continue;
      }
      if (!is_keyword(line)) fail(line, "data before [Network Data]");
      const Keyword keyword = read_keyword(line);
      warn_if_indented(line);
      ++i;
      if (keyword.name == "network data") {
        no_argument(keyword, line);
        if (!frequencies_) fail(line, "[Number of Frequencies] is required before [Network Data]");
        if (result_.ports == 2 && !column_by_column)
          fail(line, "a file of 2 ports needs [Two-Port Data Order] 12_21 or 21_12 before [Network Data]");
        break;
      }
      if (keyword.name == "two port data order") {
        const std::string order(only_argument(keyword, line, "12_21 or 21_12").text);
        if (order != "12_21" && order != "21_12")
          fail(line.number, keyword.arguments.front().column, quoted(order) + " is not an order; legal: 12_21, 21_12");
        if (result_.ports != 2) fail(line, "[Two-Port Data Order] is legal for two ports only");
        once(column_by_column, order == "21_12", line);
      } else if (keyword.name == "number of frequencies") {
        once(frequencies_, count_argument(keyword, line), line);
      } else if (keyword.name == "number of noise frequencies") {
        if (result_.ports != 2) fail(line, "noise data are legal for two ports only");
        once(noise_frequencies_, count_argument(keyword, line), line);
      } else if (keyword.name == "reference") {
        once(reference, read_references(keyword, line, i), line);
      } else if (keyword.name == "matrix format") {
        const Word& word = only_argument(keyword, line, "Full, Lower or Upper");
        const std::string text = lower(word.text);
        if (text != "full" && text != "lower" && text != "upper")
          fail(line.number, word.column, quoted(word.text) + " is not a matrix format; legal: Full, Lower, Upper");
        once(shape, text == "full" ? Shape::full : text == "lower" ? Shape::lower : Shape::upper, line);
      } else if (keyword.name == "begin information") {
        once(information, true, line);
        while (true) {
          if (i >= lines.size()) fail(line, "[Begin Information] without [End Information]");
          const std::string_view content = lines[i].text.substr(lines[i].words.front().column - 1);
          if (lower(content).starts_with("[end information]")) break;
          ++i;
        }
        ++i;
      } else if (keyword.name == "mixed mode order") {
        fail(line, "[Mixed-Mode Order]: mixed-mode data are not supported, only single-ended ports");
      } else {
        fail(line, "[" + keyword.name + "] is not a keyword that may stand here");
      }
    }
    result_.reference_ohm = reference.value_or(std::vector<double>(result_.ports, result_.option_reference_ohm));
    symmetric_ = shape && *shape != Shape::full;
    if (!symmetric_) {
      place_ = full_order(column_by_column.value_or(false));
    } else {
      const std::size_t n = result_.ports;
      for (std::size_t row = 0; row < n; ++row)
        for (std::size_t k = 0; k < n; ++k)
          if (*shape == Shape::lower ? k <= row : k >= row) place_.push_back(row * n + k);
    }
    return i;
  }

  /// One resistance a port, perhaps over several lines. @param i index of the line behind the keyword; moves on
  std::vector<double> read_references(const Keyword& keyword, const Line& line, std::size_t& i) const {
    std::vector<double> values;
    const auto take = [&](const Word& word, std::size_t number) {
      if (values.size() == result_.ports)
        fail(number, word.column, "more references than ports; [Reference] takes " + std::to_string(result_.ports));
      values.push_back(positive(word, number, result_.file));
    };
    for (const Word& word : keyword.arguments) take(word, line.number);
    while (i < text_.lines.size() && !is_keyword(text_.lines[i]) && !is_option(text_.lines[i])) {
      for (const Word& word : text_.lines[i].words) take(word, text_.lines[i].number);
      ++i;
    }
    if (values.size() != result_.ports)
      fail(line, counted(values.size(), "reference") + " for " + counted(result_.ports, "port") +
                     "; [Reference] takes one a port");
    return values;
  }

  /// Numbers in groups; line breaks carry no meaning.
  struct Groups {
    std::vector<PlacedWord> words;  ///< of the one that is not complete
    std::size_t done = 0;
  };

  template <class Take>
  void take_groups(Groups& groups, const Line& line, std::size_t group, std::size_t count, const char* what,
                   const Take& take) {
    if (is_option(line)) {
      warn(line.number, "a further option line has no effect");
      return;
    }
    for (const Word& word : line.words) {
      if (groups.done == count)
        fail(line.number, word.column, "more data than the " + counted(count, what) + " declared");
      groups.words.push_back({word, line.number});
      if (groups.words.size() < group) continue;
      take(groups.words);
      groups.words.clear();
      ++groups.done;
    }
  }

  /// @param next  index of the line behind them
  void end_groups(const Groups& groups, std::size_t next, std::size_t group, std::size_t count,
                  const char* what) const {
    if (groups.done == count) return;
    std::string message = counted(count, what) + " declared, " + std::to_string(groups.done) + " found";
    if (!groups.words.empty())
      message += " and " + counted(groups.words.size(), "number") + " of the " + std::to_string(group) + " of the next";
    fail(next < text_.lines.size() ? text_.lines[next].number : text_.last_line, 0, message);
  }

  void take_network_line(const Line& line) {
    take_groups(network_, line, 1 + 2 * place_.size(), *frequencies_, "point",
                [&](const std::vector<PlacedWord>& words) {
                  add_point(words, place_, symmetric_);
                  kept_.clear();
                });
  }

  std::size_t read_noise_data(std::size_t i) {
    const bool here = i < text_.lines.size() && read_keyword(text_.lines[i]).name == "noise data";
    if (!here) {
      if (noise_frequencies_)
        fail(i < text_.lines.size() ? text_.lines[i].number : text_.last_line, 0,
             "[Noise Data] is missing, [Number of Noise Frequencies] promises it");
      return i;
    }
    warn_if_indented(text_.lines[i]);
    if (!noise_frequencies_)
      fail(text_.lines[i], "[Noise Data] needs [Number of Noise Frequencies] before [Network Data]");
    no_argument(read_keyword(text_.lines[i]), text_.lines[i]);
    Groups noise;
    for (++i; i < text_.lines.size() && !is_keyword(text_.lines[i]); ++i)
      take_groups(noise, text_.lines[i], 5, *noise_frequencies_, "noise point",
                  [&](const std::vector<PlacedWord>& words) { add_noise(words); });
    end_groups(noise, i, 5, *noise_frequencies_, "noise point");
    return i;
  }

  TouchstoneLines::Take take_;
  touchstone::Text text_;
  TouchstoneFile result_;
  TouchstonePoint point_;  ///< the last one
  Groups network_;
  std::deque<std::string> kept_;  ///< words of network_ whose line is gone
  TouchstoneOption option_;
  std::optional<std::size_t> frequencies_, noise_frequencies_;
  std::vector<std::size_t> place_;
  bool symmetric_ = false;
};

}  // namespace

TouchstoneOption read_touchstone_option(std::string_view line, const Where& where) {
  const touchstone::Text text = touchstone::split(line, where.file);
  if (text.lines.size() != 1 || text.lines.front().words.front().text.front() != '#')
    throw ParseError(where, "not an option line; legal: \"# MHz S RI R 50\"");
  Line read = text.lines.front();
  read.number = where.line;
  return option_of(read, where.file);
}

long double touchstone_factor(TouchstoneKind kind, std::size_t row, std::size_t column, double reference_ohm) {
  const auto r = static_cast<long double>(reference_ohm);
  switch (kind) {
  case TouchstoneKind::s:
    return 1.0L;
  case TouchstoneKind::z:
    return r;
  case TouchstoneKind::y:
    return 1.0L / r;
  case TouchstoneKind::h:
    return row != column ? 1.0L : row == 0 ? r : 1.0L / r;
  case TouchstoneKind::g:
    break;
  }
  return row != column ? 1.0L : row == 0 ? 1.0L / r : r;
}

cdouble touchstone_polar(double magnitude, double angle_deg) {
  const double angle = std::remainder(angle_deg, 360.0) * (pi / 180.0);
  return {magnitude * std::cos(angle), magnitude * std::sin(angle)};
}

std::optional<std::size_t> ports_of_touchstone_name(std::string_view file_name) {
  const std::size_t dot = file_name.rfind('.');
  if (dot == std::string_view::npos) return {};
  const std::string extension = lower(file_name.substr(dot + 1));
  if (extension.size() < 3 || extension.front() != 's' || extension.back() != 'p') return {};
  std::size_t ports = 0;
  const char* end = extension.data() + extension.size() - 1;
  const auto result = std::from_chars(extension.data() + 1, end, ports);
  if (result.ec != std::errc() || result.ptr != end || ports == 0 || ports > 1000) return {};
  return ports;
}

TouchstoneFile read_touchstone(std::string_view text, std::string file_name) {
  return Reader(std::move(file_name)).run(text);
}

struct TouchstoneLines::State {
  enum class Phase { head, data, tail } phase = Phase::head;
  Reader reader;
  std::string held;        // of the phase, but of the data
  std::size_t first = 1;   // its first line
  std::size_t number = 0;  // of the last line
  bool information = false;

  State(std::string file, std::size_t first_line, Take take)
      : reader(std::move(file), std::move(take)), first(first_line), number(first_line - 1) {}

  void line(std::string_view text) {
    ++number;
    if (phase == Phase::data && !reader.take_data(text, number)) {
      phase = Phase::tail;
      held.clear();
      first = number;
    }
    if (phase == Phase::data) return;
    held.append(text) += '\n';
    if (phase == Phase::tail) return;
    const std::string word = keyword(text);
    if (word == "begin information") information = true;
    if (word == "end information") information = false;
    if (word != "network data" || information) return;
    reader.take_head(held, first);
    phase = Phase::data;
  }

  /// "network data" of "[Network Data]"; empty: none.
  static std::string keyword(std::string_view text) {
    text = text.substr(0, text.find('!'));
    const std::size_t begin = text.find_first_not_of(" \t");
    if (begin == std::string_view::npos || text[begin] != '[') return {};
    std::string word = lower(text.substr(begin + 1, text.find(']', begin) - begin - 1));
    std::replace(word.begin(), word.end(), '-', ' ');
    return word;
  }

  TouchstoneFile finish() {
    if (phase == Phase::head) return reader.run(std::string(first - 1, '\n') + held);  // which ends before its data
    return reader.take_tail(phase == Phase::tail ? held : std::string(), phase == Phase::tail ? first : number + 1);
  }
};

TouchstoneLines::TouchstoneLines(std::string file_name, std::size_t first, Take take)
    : state_(std::make_unique<State>(std::move(file_name), first, std::move(take))) {}
TouchstoneLines::TouchstoneLines(TouchstoneLines&&) noexcept = default;
TouchstoneLines& TouchstoneLines::operator=(TouchstoneLines&&) noexcept = default;
TouchstoneLines::~TouchstoneLines() = default;
void TouchstoneLines::line(std::string_view text) { state_->line(text); }
TouchstoneFile TouchstoneLines::finish() { return state_->finish(); }

}  // namespace stile::load
