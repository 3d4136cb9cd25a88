#include <fmt/format.h>

#include <algorithm>

#include "handoff/print_work.h"
#include "handoff/report_sections.h"
#include "handoff/report_text.h"

namespace seamwright::report {
namespace {

constexpr double kWidth = 300, kHeight = 96;  // of a curve's field, in px
constexpr double kLeft = 44, kTop = 8, kBottom = 20;
constexpr std::size_t kColumns = 150;

struct Column {
  double mean_s = 0, most_s = 0;
};

/// At most kColumns columns of neighbouring layers.
std::vector<Column> columns_of(const std::vector<double>& layer_s) {
  const std::size_t count = std::min(kColumns, layer_s.size());
  std::vector<Column> columns(count);
  for (std::size_t c = 0; c < count; ++c) {
    const std::size_t begin = c * layer_s.size() / count, end = (c + 1) * layer_s.size() / count;
    for (std::size_t i = begin; i < end; ++i) {
      columns[c].mean_s += layer_s[i] / static_cast<double>(end - begin);
      columns[c].most_s = std::max(columns[c].most_s, layer_s[i]);
    }
  }
  return columns;
}

/// 1, 2 or 5 times a power of ten, at least `value`.
double round_scale(double value) {
  double step = 1;
  while (step * 10 <= value) step *= 10;
  for (const double times : {1.0, 2.0, 5.0}) {
    if (times * step >= value) return times * step;
  }
  return 10 * step;
}

std::string seconds_label(double seconds) {
  return seconds < 120 ? fmt::format("{:.0f} s", seconds) : fmt::format("{:.0f} min", seconds / 60);
}

/// Steps through the columns' values, as SVG path commands.
std::string steps(const std::vector<Column>& columns, double Column::*value, double scale_s) {
  std::string path;
  const double step = kWidth / static_cast<double>(columns.size());
  for (std::size_t c = 0; c < columns.size(); ++c) {
    const double y = kTop + kHeight * (1 - columns[c].*value / scale_s);
    path += fmt::format("{}{:.1f} {:.1f}H{:.1f}", path.empty() ? "M" : "L",
                        kLeft + step * static_cast<double>(c), y,
                        kLeft + step * static_cast<double>(c + 1));
  }
  return path;
}

std::string words_at(double x, double y, const char* anchor, const std::string& words) {
  return fmt::format("<text x=\"{:.1f}\" y=\"{:.1f}\" text-anchor=\"{}\">{}</text>", x, y, anchor,
                     words);
}

std::string layer_curve(const FinishedPiece& piece) {
  std::vector<double> layer_s = piece.print.layer_s;
  const double factor =
      piece.print.model_print_s > 0 ? piece.print.print_s / piece.print.model_print_s : 1;
  for (double& s : layer_s) s *= factor;
  const std::vector<Column> columns = columns_of(layer_s);
  // The first layer crawls; were it to set the scale, all others would lie flat.
  double most_s = 1;
  for (std::size_t c = columns.size() > 1 ? 1 : 0; c < columns.size(); ++c)
    most_s = std::max(most_s, columns[c].most_s);
  const double scale_s = round_scale(most_s), floor = kTop + kHeight;
  std::vector<Column> shown = columns;
  for (Column& column : shown)
    column = {std::min(column.mean_s, scale_s), std::min(column.most_s, scale_s)};
  return fmt::format(
             "<svg class=\"curve\" viewBox=\"0 0 {0:.0f} {1:.0f}\" role=\"img\" "
             "aria-label=\"Seconds a layer of {2}, from the bed up\">"
             "<path class=\"fill\" d=\"{3}V{4:.1f}H{5:.1f}Z\"/><path class=\"most\" d=\"{6}\"/>"
             "<path class=\"axis\" d=\"M{5:.1f} {7:.1f}V{4:.1f}H{8:.1f}\"/>",
             kLeft + kWidth + 4, kTop + kHeight + kBottom, text::escaped(piece.mark),
             steps(shown, &Column::mean_s, scale_s), floor, kLeft,
             steps(shown, &Column::most_s, scale_s), kTop, kLeft + kWidth) +
         words_at(kLeft - 4, kTop + 8, "end", seconds_label(scale_s)) +
         words_at(kLeft - 4, floor, "end", "0") + words_at(kLeft, floor + 14, "start", "bed") +
         words_at(kLeft + kWidth, floor + 14, "end",
                  fmt::format("{:.0f} mm", piece.planned.pose.size_mm.z)) +
         "</svg>";
}

std::string curve_card(const HandOff& hand_off, std::size_t i) {
  const std::vector<double>& layer_s = hand_off.pieces[i].print.layer_s;
  if (layer_s.empty()) return "";
  const auto longest = std::max_element(layer_s.begin(), layer_s.end());
  return fmt::format(
      "<div class=\"layers\"><p>{} <span>{} layers; the longest is number {}</span></p>{}</div>\n",
      mark_chip(hand_off, i), layer_s.size(), longest - layer_s.begin() + 1,
      layer_curve(hand_off.pieces[i]));
}

/// Rows over all pieces, in the order of print_work.
std::vector<PrintWork> summed_work(const HandOff& hand_off) {
  std::vector<PrintWork> sums;
  for (const FinishedPiece& piece : hand_off.pieces) {
    for (const PrintWork& work : print_work(piece.print)) {
      auto met = std::find_if(sums.begin(), sums.end(),
                              [&](const PrintWork& sum) { return sum.kind == work.kind; });
      if (met == sums.end()) met = sums.insert(sums.end(), {work.kind});
      met->seconds += work.seconds;
      met->filament_mm += work.filament_mm;
    }
  }
  return sums;
}

std::string hours_price_text(const HandOff& hand_off) {
  const double price = print_totals(hand_off).printer_price;
  if (price == 0) return "";
  return fmt::format(
      " The printers' hours come to {:.2f} at the prices you gave; each piece is on the printer "
      "that "
      "costs it least.",
      price);
}

std::string work_table(const HandOff& hand_off) {
  const std::vector<PrintWork> sums = summed_work(hand_off);
  double all_s = 0;
  for (const PrintWork& work : sums) all_s += work.seconds;
  const double g_per_mm = std::numbers::pi * hand_off.material.filament_mm *
                          hand_off.material.filament_mm / 4 * hand_off.material.density_g_per_cm3 /
                          1000;
  std::vector<std::vector<std::string>> rows;
  for (const PrintWork& work : sums) {
    const bool has_plastic = work.filament_mm > 0;
    const double grams = work.filament_mm * g_per_mm;
    rows.push_back(
        {work.kind, text::duration(work.seconds),
         fmt::format("{:.1f} %", all_s > 0 ? 100 * work.seconds / all_s : 0),
         has_plastic ? fmt::format("{:.1f} m", work.filament_mm / 1000) : "–",
         has_plastic ? text::mass(grams) : "–",
         has_plastic ? fmt::format("{:.2f}", grams / 1000 * hand_off.material.price_per_kg) : "–"});
  }
  return table({"Kind of work", "Time", "Share", "Filament", "Mass", "Cost"}, rows,
               fmt::format("All pieces together, on the printers they are planned for. Cost at "
                           "{:g} a kilogram, in your currency: your price or an assumed one.{}",
                           hand_off.material.price_per_kg, hours_price_text(hand_off)),
               {false, true, true, true, true, true});
}

}  // namespace

std::string printing_section(const HandOff& hand_off) {
  std::string cards;
  for (std::size_t i = 0; i < hand_off.pieces.size(); ++i) cards += curve_card(hand_off, i);
  if (cards.empty()) return "";
  return "<section id=\"printing\"><h2>Where the print time goes</h2>\n" + work_table(hand_off) +
         "<h2>Time of each layer, from the bed up</h2>\n<div class=\"row curves\">" + cards +
         "</div><p class=\"basis\">Filled: the mean of neighbouring layers. Line: the longest "
         "of them. A sudden step is a floor, a roof or the end of a support: look there first "
         "when a print fails. The first layer is laid slowly: where it takes longer than the scale "
         "shows, it is cut off at the top." +
         screw_holes_note(hand_off) + "</p></section>\n";
}

}  // namespace seamwright::report
