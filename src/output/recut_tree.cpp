#include "output/recut_tree.hpp"

#include "output/html_text.hpp"
#include "output/safe_text.hpp"
#include "output/statement.hpp"

#include <algorithm>
#include <cmath>
#include <optional>
#include <vector>

#include <fmt/format.h>

namespace trayworth::output {
namespace {

using recutting::Choice;
using recutting::Outcome;
using recutting::SolvedChoice;
using recutting::SolvedOutcome;

constexpr std::string_view leave_branch = "leave it";

// What is drawn, whatever it is drawn with.
struct Node {
    enum class Kind { decision, chance, end };

    Kind kind = Kind::end;
    std::string label; // of the branch that leads here
    double net = 0;
    bool best = false; // the branch that is taken
    std::vector<Node> branches;
};

Node node_of(const Choice& choice, const SolvedChoice& solved, bool best);

std::vector<Node> decision(double left,
                           const std::vector<Choice>& choices,
                           const std::vector<SolvedChoice>& solved,
                           std::optional<std::size_t> best) {
    std::vector<Node> branches;
    branches.push_back({Node::Kind::end, std::string(leave_branch), left, !best, {}});
    for (std::size_t i = 0; i < choices.size(); ++i) {
        branches.push_back(node_of(choices[i], solved[i], best == i));
    }
    return branches;
}

Node node_of(const Choice& choice, const SolvedChoice& solved, bool best) {
    Node node{Node::Kind::chance, safe(choice.name), solved.certainty_equivalent, best, {}};
    if (choice.outcomes.size() == 1) { // no chance in it
        const Outcome& outcome = choice.outcomes.front();
        const SolvedOutcome& rolled = solved.outcomes.front();
        node.label += outcome.name.empty() ? "" : ": " + safe(outcome.name);
        node.kind = outcome.choices.empty() ? Node::Kind::end : Node::Kind::decision;
        if (!outcome.choices.empty()) {
            node.branches = decision(rolled.net, outcome.choices, rolled.choices, rolled.best);
        }
        return node;
    }
    for (std::size_t i = 0; i < choice.outcomes.size(); ++i) {
        const Outcome& outcome = choice.outcomes[i];
        const SolvedOutcome& rolled = solved.outcomes[i];
        const bool range = !outcome.probability.is_point();
        std::string label = range ? fmt::format("{:.0f}-{:.0f} %", 100 * outcome.probability.low,
                                                100 * outcome.probability.high)
                                  : fmt::format("{:.0f} %", 100 * rolled.probability);
        label += outcome.name.empty() ? "" : " " + safe(outcome.name);
        Node after{Node::Kind::end, std::move(label), rolled.certainty_equivalent, false, {}};
        if (!outcome.choices.empty()) {
            after.kind = Node::Kind::decision;
            after.branches = decision(rolled.net, outcome.choices, rolled.choices, rolled.best);
        }
        node.branches.push_back(std::move(after));
    }
    return node;
}

Node root_of(const recutting::Planned& planned) {
    const recutting::Comparison& comparison = planned.comparison;
    const recutting::Solution& solution = comparison.solution;
    Node root;
    root.kind = Node::Kind::decision;
    root.net =
        solution.best ? solution.choices[*solution.best].certainty_equivalent : solution.leave;
    root.branches = decision(solution.leave, comparison.choices, solution.choices, solution.best);
    return root;
}

// ---- as text

constexpr std::size_t amount_width = 10;

void add_lines(const Node& node,
               const std::string& before,
               const pricing::Matrix& matrix,
               TextStyle style,
               std::string& text) {
    for (std::size_t i = 0; i < node.branches.size(); ++i) {
        const Node& branch = node.branches[i];
        const bool last = i + 1 == node.branches.size();
        std::string lead = before;
        if (branch.best) {
            lead += last ? "┗━▶ " : "┣━▶ ";
        } else {
            lead += last ? "└── " : "├── ";
        }
        const std::size_t room = style.width - amount_width;
        const std::size_t used = length_of(lead);
        constexpr std::size_t least_label = 12;
        const std::size_t label_width = std::max(room, used + least_label) - used;
        const std::string amount = net_text(branch.net, matrix);
        const std::string line = lead + left(fitted(branch.label, label_width - 1), label_width) +
                                 right(amount, amount_width);
        text += (branch.best ? paint(style, strong, line) : line) + "\n";
        add_lines(branch, before + (last ? "    " : "│   "), matrix, style, text);
    }
}

// ---- as a picture

constexpr double row_height = 44;
constexpr double column_width = 310;
constexpr double left_margin = 28;
constexpr double top_margin = 96;
constexpr double mark_size = 7; // half the side of a square, the radius of a circle
constexpr double amount_room = 110;
constexpr std::size_t label_length = 38;

std::size_t rows_of(const Node& node) {
    std::size_t rows = 0;
    for (const Node& branch : node.branches) {
        rows += rows_of(branch);
    }
    return std::max<std::size_t>(rows, 1);
}

std::size_t columns_of(const Node& node) {
    std::size_t columns = 0;
    for (const Node& branch : node.branches) {
        columns = std::max(columns, columns_of(branch) + 1);
    }
    return columns;
}

class Picture {
public:
    explicit Picture(const pricing::Matrix& matrix) : matrix_(matrix) {}

    // Draws a node whose rows begin at `row`; returns its height on the page. `taken` says that the
    // best branches lead here.
    double draw(const Node& node, std::size_t column, std::size_t row, bool taken) {
        const double x = left_margin + column_width * static_cast<double>(column);
        std::vector<double> heights;
        std::size_t next = row;
        for (const Node& branch : node.branches) {
            heights.push_back(draw(branch, column + 1, next, leads_on(node, branch, taken)));
            next += rows_of(branch);
        }
        const double y = heights.empty() ? top_margin + row_height * static_cast<double>(row)
                                         : (heights.front() + heights.back()) / 2;
        for (std::size_t i = 0; i < heights.size(); ++i) {
            const Node& branch = node.branches[i];
            draw_branch(x, y, heights[i], branch, leads_on(node, branch, taken));
        }
        draw_mark(node, x, y, taken);
        return y;
    }

    [[nodiscard]] const std::string& lines() const { return lines_; }
    [[nodiscard]] const std::string& marks() const { return marks_; }

private:
    // At a chance every outcome may come.
    static bool leads_on(const Node& node, const Node& branch, bool taken) {
        return taken && (branch.best || node.kind == Node::Kind::chance);
    }

    void draw_branch(double x, double y, double to_y, const Node& branch, bool taken) {
        constexpr double bend = 40;
        lines_ += fmt::format("<path class=\"{}\" d=\"M{:.1f} {:.1f}L{:.1f} {:.1f}H{:.1f}\"/>\n",
                              taken ? "best" : "other", x, y, x + bend, to_y, x + column_width);
        marks_ += fmt::format("<text x=\"{:.1f}\" y=\"{:.1f}\"{}>{}</text>\n", x + bend + 6,
                              to_y - 6, taken ? " class=\"strong\"" : "",
                              escaped(fitted(branch.label, label_length)));
    }

    void draw_mark(const Node& node, double x, double y, bool taken) {
        const std::string amount = net_text(node.net, matrix_);
        const char* strong = taken ? " class=\"strong\"" : "";
        switch (node.kind) {
        case Node::Kind::decision:
            marks_ += fmt::format("<rect x=\"{:.1f}\" y=\"{:.1f}\" width=\"{:.0f}\" "
                                  "height=\"{:.0f}\"/>\n",
                                  x - mark_size, y - mark_size, 2 * mark_size, 2 * mark_size);
            break;
        case Node::Kind::chance:
            marks_ += fmt::format("<circle cx=\"{:.1f}\" cy=\"{:.1f}\" r=\"{:.0f}\"/>\n", x, y,
                                  mark_size);
            break;
        case Node::Kind::end:
            marks_ += fmt::format("<text x=\"{:.1f}\" y=\"{:.1f}\"{}>{}</text>\n", x + 8, y + 4,
                                  strong, amount);
            return;
        }
        marks_ +=
            fmt::format("<text x=\"{:.1f}\" y=\"{:.1f}\"{} text-anchor=\"middle\">{}</text>\n", x,
                        y + mark_size + 15, strong, amount);
    }

    const pricing::Matrix& matrix_;
    std::string lines_;
    std::string marks_;
};

std::string text_at(double y, std::string_view style, std::string_view text) {
    return fmt::format("<text x=\"{:.0f}\" y=\"{:.0f}\"{}>{}</text>\n", left_margin, y, style,
                       escaped(text));
}

} // namespace

std::string net_text(double amount, const pricing::Matrix& matrix) {
    const std::string size = rounded(std::abs(amount), matrix);
    return amount < 0 && size != "0" ? "-" + size : size;
}

std::string
tree_text(const recutting::Planned& planned, const pricing::Matrix& matrix, TextStyle style) {
    const Node root = root_of(planned);
    std::string text = "  now\n";
    add_lines(root, "  ", matrix, style, text);
    return text;
}

std::string tree_svg(const recutting::Answer& answer, const pricing::Matrix& matrix) {
    const recutting::Planned& planned = *answer.planned;
    const recutting::Comparison& comparison = planned.comparison;
    const Node root = root_of(planned);
    const std::string best = comparison.solution.best
                                 ? comparison.choices[*comparison.solution.best].name
                                 : std::string(leave_branch);
    const std::string title =
        fmt::format("{}: what might be done{}", answer.now.stone.id.value_or("stone"),
                    planned.plan.name ? ", " + *planned.plan.name : "");
    const std::string result =
        fmt::format("{}: {}, {} {}", comparison.too_close ? "Too close to call" : "Best", best,
                    matrix.currency.code, net_text(root.net, matrix));
    std::vector<std::string> notes = cautions_at_the_wheel();
    for (std::string& sentence : cautions(matrix)) {
        notes.push_back(std::move(sentence));
    }
    const double width = std::max(
        left_margin * 2 + column_width * static_cast<double>(columns_of(root)) + amount_room,
        760.0);
    constexpr double character = 6.2; // of the notes' font, on average
    constexpr double note_line = 16;
    const auto note_width = static_cast<std::size_t>((width - 2 * left_margin) / character);
    const double tree_end = top_margin + row_height * static_cast<double>(rows_of(root));
    std::string foot;
    double y = tree_end + note_line;
    for (const std::string& note : notes) {
        std::string rest = wrapped(note, note_width, 0);
        while (!rest.empty()) {
            const std::size_t end = std::min(rest.find('\n'), rest.size());
            foot += text_at(y, " class=\"note\"", std::string_view(rest).substr(0, end));
            rest.erase(0, end + 1);
            y += note_line;
        }
        y += note_line / 4;
    }
    Picture picture(matrix);
    picture.draw(root, 0, 0, true);
    std::string svg = fmt::format(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{0:.0f}\" height=\"{1:.0f}\" "
        "viewBox=\"0 0 {0:.0f} {1:.0f}\" role=\"img\" aria-labelledby=\"title description\">\n",
        width, y);
    svg += fmt::format("<title id=\"title\">{}</title>\n<desc id=\"description\">{}. A square is a "
                       "decision, a circle a chance; heavy lines are the best branch.</desc>\n",
                       escaped(title), escaped(result));
    svg += "<style>text{font:13px sans-serif;fill:#222;stroke:#fff;stroke-width:4px;"
           "paint-order:stroke}.title{font-size:17px;font-weight:bold}"
           ".strong{font-weight:bold}.note{font-size:12px;fill:#555}path{fill:none}"
           ".best{stroke:#1a5c8a;stroke-width:3}.other{stroke:#999;stroke-width:1}"
           "rect,circle{fill:#fff;stroke:#222;stroke-width:1.5}</style>\n"
           "<rect width=\"100%\" height=\"100%\" style=\"fill:#fff;stroke:none\"/>\n";
    svg += text_at(28, " class=\"title\"", fitted(title, 80));
    svg += text_at(50, " class=\"strong\"", result);
    svg += text_at(68, " class=\"note\"",
                   fmt::format("{}: value less costs, by \"{}\" as of {}{}", matrix.currency.code,
                               matrix.name, matrix.as_of,
                               matrix.invented ? ", with INVENTED prices" : ""));
    return svg + picture.lines() + picture.marks() + foot + "</svg>\n";
}

} // namespace trayworth::output
