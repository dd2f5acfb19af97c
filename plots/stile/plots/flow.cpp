#include <stile/plots/flow.hpp>

#include <algorithm>
#include <numeric>

#include <fmt/format.h>

namespace stile::plots::detail {
namespace {

constexpr TypeStyle title_type{4.6, true}, heading_type{3.4, true}, text_type{2.7}, cell_type{2.5},
    head_type{2.5, true}, foot_type{2.1};
constexpr double line_height = 1.42;  // by the type's size
constexpr double column_gap_mm = 3.5, least_column_mm = 14.0;

bool is_number(const std::string& cell) {
  return cell.empty() || cell == "-" || cell == "none" || cell == "inf" || cell.front() == '>' ||
         (cell.find_first_not_of("0123456789.+-eE") == std::string::npos);
}

struct Column {
  double width_mm = 0.0;
  bool numbers = true;
};

/// Widths that fit the page: those of the contents, the widest ones made narrower where they do not fit.
std::vector<Column> columns_of(const std::vector<std::vector<std::string>>& rows) {
  std::vector<Column> columns;
  for (std::size_t r = 0; r < rows.size(); ++r) {
    columns.resize(std::max(columns.size(), rows[r].size()));
    for (std::size_t c = 0; c < rows[r].size(); ++c) {
      columns[c].width_mm = std::max(columns[c].width_mm, text_width_mm(rows[r][c], r == 0 ? head_type : cell_type));
      columns[c].numbers &= r == 0 || is_number(rows[r][c]);
    }
  }
  const double room = Flow::width_mm - column_gap_mm * static_cast<double>(columns.size() - 1);
  double over = std::accumulate(columns.begin(), columns.end(), -room,
                                [](double sum, const Column& column) { return sum + column.width_mm; });
  while (over > 1e-9) {
    // The widest columns come down to the next widest, or as far as needed.
    double widest = 0.0, next = least_column_mm;
    for (const Column& column : columns) widest = std::max(widest, column.width_mm);
    std::size_t count = 0;
    for (const Column& column : columns) {
      if (column.width_mm > widest - 1e-9) {
        ++count;
      } else {
        next = std::max(next, column.width_mm);
      }
    }
    if (widest <= least_column_mm) break;
    const double less = std::min(widest - next, over / static_cast<double>(count));
    for (Column& column : columns) {
      if (column.width_mm > widest - 1e-9) column.width_mm -= less;
    }
    over -= less * static_cast<double>(count);
  }
  return columns;
}

}  // namespace

void Flow::keep(double height_mm) {
  if (y_mm_ + height_mm <= bottom_mm || y_mm_ <= top_mm) return;
  pages_.emplace_back();
  y_mm_ = top_mm;
}

double Flow::place(double height_mm) {
  keep(height_mm);
  const double at = y_mm_;
  y_mm_ += height_mm;
  return at;
}

void Flow::title(const std::string& text) {
  for (const std::string& line : text_lines(text, title_type, width_mm)) {
    const double y = place(title_type.size_mm * line_height);
    page().texts.push_back({left_mm, y + title_type.size_mm, line, title_type});
  }
  const double y = place(3.0);
  page().lines.push_back({left_mm, y, right_mm, y, 0.5});
}

void Flow::heading(const std::string& text) {
  if (y_mm_ > top_mm) y_mm_ += 2.5;
  keep(18.0);  // not at the foot of a page
  const double y = place(heading_type.size_mm * 1.7);
  page().texts.push_back({left_mm, y + heading_type.size_mm, text, heading_type});
}

void Flow::paragraph(const std::string& text, double indent_mm) {
  for (const std::string& line : text_lines(text, text_type, width_mm - indent_mm)) {
    const double y = place(text_type.size_mm * line_height);
    page().texts.push_back({left_mm + indent_mm, y + text_type.size_mm, line, text_type});
  }
  y_mm_ += 1.0;
}

void Flow::table(const std::string& title, const std::vector<std::vector<std::string>>& rows) {
  if (rows.empty()) return;
  const std::vector<Column> columns = columns_of(rows);
  const double step = cell_type.size_mm * line_height;
  const auto lines_of_row = [&](const std::vector<std::string>& row, const TypeStyle& style) {
    std::vector<std::vector<std::string>> cells;
    for (std::size_t c = 0; c < row.size(); ++c) cells.push_back(text_lines(row[c], style, columns[c].width_mm + 0.05));
    return cells;
  };
  const auto height_of = [&](const std::vector<std::vector<std::string>>& cells) {
    std::size_t most = 1;
    for (const std::vector<std::string>& cell : cells) most = std::max(most, cell.size());
    return step * static_cast<double>(most) + 0.9;
  };
  const auto put = [&](const std::vector<std::vector<std::string>>& cells, double y, const TypeStyle& style) {
    double x = left_mm;
    for (std::size_t c = 0; c < cells.size(); ++c) {
      double line_y = y + style.size_mm;
      for (const std::string& line : cells[c]) {
        const bool right = columns[c].numbers;
        page().texts.push_back(
            {right ? x + columns[c].width_mm : x, line_y, line, style, right ? Anchor::right : Anchor::left});
        line_y += step;
      }
      x += columns[c].width_mm + column_gap_mm;
    }
  };
  const double whole_mm = std::accumulate(columns.begin(), columns.end(), -column_gap_mm,
                                          [](double sum, const Column& c) { return sum + c.width_mm + column_gap_mm; });
  const auto head = lines_of_row(rows[0], head_type);
  const auto put_head = [&](const std::string& text) {
    if (!text.empty()) heading(text);
    const double height = height_of(head), y = place(height + 0.8);
    put(head, y, head_type);
    page().lines.push_back({left_mm, y + height, left_mm + whole_mm, y + height, 0.25});
  };
  keep(height_of(head) + 18.0);  // title, heading and the first rows stay together
  put_head(title);
  for (std::size_t r = 1; r < rows.size(); ++r) {
    const auto cells = lines_of_row(rows[r], cell_type);
    const double height = height_of(cells);
    if (y_mm_ + height > bottom_mm) {
      pages_.emplace_back();
      y_mm_ = top_mm;
      put_head(title.empty() ? "" : title + ", continued");
    }
    put(cells, place(height), cell_type);
  }
  y_mm_ += 2.0;
}

std::vector<Drawing> Flow::finish(const std::string& foot) {
  for (std::size_t n = 0; n < pages_.size(); ++n) {
    pages_[n].texts.push_back({left_mm, 289.0, foot, foot_type});
    pages_[n].texts.push_back(
        {right_mm, 289.0, fmt::format("page {} of {}", n + 1, pages_.size()), foot_type, Anchor::right});
  }
  return std::move(pages_);
}

}  // namespace stile::plots::detail
