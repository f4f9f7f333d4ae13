using System.Collections.Immutable;
using ScottPlot;
using SkiaSharp;
using TestRig.Core.Captures;
using TestRig.Core.Quantities;

namespace TestRig.Bench.Plotting;

/// <summary>
/// One view of a picture: the panels stacked, the first at the top, each one unit of the y axis high. Traces are divided into pixel columns first, so
/// a capture of ten million changes costs no more to draw than one of ten thousand.
/// </summary>
internal sealed class WaveformPlottable(
    PictureView view, ImmutableArray<Panel> panels, ImmutableArray<Gap> gaps, ImmutableArray<PictureView> otherViews, PictureText text) : IPlottable
{
    /// <summary>Heights within a panel, as fractions from its bottom.</summary>
    public const double LowAt = 0.23;
    public const double HighAt = 0.76;

    private const float NoteSize = 12;

    private const string GapWords = "not watched";

    /// <summary>An interval of an uncertain change is drawn as such from this many pixels on; below, a vertical line says the same.</summary>
    private const float VisibleUncertainty = 4;

    public bool IsVisible { get; set; } = true;

    public IAxes Axes { get; set; } = new Axes();

    public IEnumerable<LegendItem> LegendItems => [];

    public AxisLimits GetAxisLimits() => new(view.ToAxis(view.From), view.ToAxis(view.To), 0, panels.Length);

    public void Render(RenderPack rp)
    {
        var canvas = rp.Canvas;
        var area = new SKRect(rp.DataRect.Left, rp.DataRect.Top, rp.DataRect.Right, rp.DataRect.Bottom);
        canvas.Save();
        canvas.ClipRect(area);
        for (var i = 0; i < panels.Length; i++)
            DrawWindows(canvas, panels[i], i);
        DrawGaps(canvas, area);
        DrawPlacesOfOtherViews(canvas, area);
        for (var i = 0; i < panels.Length; i++)
        {
            if (panels[i].Overlay is { } other && view.OverlayShift is { } shift)
            {
                using var dashed = OverlayStroke();
                DrawTrace(canvas, other.Shifted(shift), i, area, dashed, isOverlay: true);
            }
            if (panels[i].Signal is { } signal)
            {
                using var stroke = TraceStroke(panels[i].Standing == PanelStanding.FirstWrong);
                DrawTrace(canvas, signal, i, area, stroke, isOverlay: false);
            }
        }
        for (var i = 0; i < panels.Length; i++)
            DrawNotes(canvas, panels[i], i, area);
        canvas.Restore();
    }

    private float X(Instant instant) => Axes.GetPixelX(view.ToAxis(instant));

    private float Y(int panel, double height) => Axes.GetPixelY(panels.Length - 1 - panel + height);

    private float Y(int panel, Level level) => Y(panel, level == Level.High ? HighAt : LowAt);

    private void DrawWindows(SKCanvas canvas, Panel panel, int index)
    {
        using var fill = new SKPaint { Color = PrintSafePalette.ExpectedTint };
        using var edge = new SKPaint { Color = PrintSafePalette.Expected, IsStroke = true, StrokeWidth = 1, PathEffect = SKPathEffect.CreateDash([3, 3], 0) };
        using var solid = new SKPaint { Color = PrintSafePalette.Expected, IsAntialias = true };
        foreach (var window in panel.Windows)
        {
            if (window.To < view.From || window.From > view.To)
                continue;
            // A window of some nanoseconds in a view of milliseconds is still there to be seen.
            var left = X(window.From);
            var right = Math.Max(X(window.To), left + 3);
            var box = new SKRect(left, Y(index, 0.94), right, Y(index, 0.06));
            canvas.DrawRect(box, fill);
            canvas.DrawLine(box.Left, box.Top, box.Left, box.Bottom, edge);
            canvas.DrawLine(box.Right, box.Top, box.Right, box.Bottom, edge);
            var width = text.Width(window.Words, NoteSize - 1);
            var readable = width + 24 < box.Right - Math.Max(box.Left, X(view.From));
            var wordsAt = Math.Max(box.Left, X(view.From)) + 5;
            if (readable)
                text.Draw(canvas, window.Words, wordsAt, box.Top + 9, NoteSize - 1, PrintSafePalette.Black);
            if (window.ArrivesAt is { } level)
            {
                // Beside the word, or alone at the side of the panel that the transition comes from.
                if (readable)
                    DrawArrow(canvas, wordsAt + width + 9, box.Top + 5.5f, level, solid);
                else
                    DrawArrow(canvas, box.MidX, level == Level.Low ? box.Top + 5 : box.Bottom - 5, level, solid);
            }
        }
    }

    /// <summary>A small arrow in the direction of the expected transition.</summary>
    private static void DrawArrow(SKCanvas canvas, float x, float middle, Level arrives, SKPaint paint)
    {
        const float half = 4;
        var tip = arrives == Level.Low ? 4f : -4f;
        using var path = new SKPath();
        path.MoveTo(x - half, middle - tip);
        path.LineTo(x + half, middle - tip);
        path.LineTo(x, middle + tip);
        path.Close();
        canvas.DrawPath(path, paint);
    }

    private void DrawGaps(SKCanvas canvas, SKRect area)
    {
        using var hatch = new SKPaint { Color = PrintSafePalette.Hatching, IsStroke = true, StrokeWidth = 1, IsAntialias = true };
        using var paper = new SKPaint { Color = PrintSafePalette.White };
        foreach (var gap in gaps)
        {
            if (!gap.Overlaps(view.From, view.To))
                continue;
            var box = new SKRect(Math.Max(X(gap.From), area.Left), area.Top, Math.Min(X(gap.To), area.Right), area.Bottom);
            box.Right = Math.Max(box.Right, box.Left + 2);
            canvas.DrawRect(box, paper);
            PictureCanvas.Hatch(canvas, box, 8);
            canvas.DrawLine(box.Left, box.Top, box.Left, box.Bottom, hatch);
            canvas.DrawLine(box.Right, box.Top, box.Right, box.Bottom, hatch);
            var label = text.Box(GapWords, 0, 0, NoteSize - 1);
            if (label.Width <= box.Width)
                text.DrawBoxed(canvas, GapWords, box.MidX - (label.Width / 2), box.Top + 9, NoteSize - 1, PrintSafePalette.FaintText, PrintSafePalette.White);
        }
    }

    private void DrawPlacesOfOtherViews(SKCanvas canvas, SKRect area)
    {
        using var line = new SKPaint { Color = PrintSafePalette.FaintText, IsStroke = true, StrokeWidth = 1, PathEffect = SKPathEffect.CreateDash([1, 3], 0) };
        foreach (var other in otherViews)
            canvas.DrawLine(X(other.Origin), area.Top, X(other.Origin), area.Bottom, line);
    }

    /// <summary>How what is laid over is drawn: told from the trace itself without any colour.</summary>
    public static SKPaint OverlayStroke() => new()
    {
        Color = PrintSafePalette.Black,
        IsStroke = true,
        StrokeWidth = 1.5f,
        PathEffect = SKPathEffect.CreateDash([6, 4], 0),
        IsAntialias = true,
    };

    private static SKPaint TraceStroke(bool wrong) => new()
    {
        Color = wrong ? PrintSafePalette.WrongTrace : PrintSafePalette.Trace,
        IsStroke = true,
        StrokeWidth = wrong ? 3 : 2,
        StrokeJoin = SKStrokeJoin.Bevel,
        IsAntialias = true,
    };

    /// <param name="isOverlay">Of another capture: its gaps are not those of this one, and neither its uncertainty nor its short pulses are marked.</param>
    private void DrawTrace(SKCanvas canvas, Signal signal, int panel, SKRect area, SKPaint stroke, bool isOverlay)
    {
        var columns = Math.Max(1, (int)MathF.Ceiling(area.Width));
        var changes = signal.Changes.AsSpan();
        var divided = EdgeColumns.Divide(changes, view.From, view.To, columns);
        using var path = new SKPath();
        using var bands = new SKPath();
        using var uncertain = new SKPaint { Color = isOverlay ? SKColors.Transparent : PrintSafePalette.UncertainTint };
        var first = divided.FirstIn(0);
        var level = first == 0 ? signal.Initial : changes[first - 1].Level;
        var x = area.Left;
        var pulseFrom = -1;
        path.MoveTo(x, Y(panel, level));
        for (var column = 0; column <= columns; column++)
        {
            var hides = !isOverlay && column < columns && divided.HidesPulse(column);
            if (hides && pulseFrom < 0)
                pulseFrom = column;
            if (!hides && pulseFrom >= 0)
            {
                MarkPulses(canvas, panel, area.Left + pulseFrom, area.Left + column);
                pulseFrom = -1;
            }
            if (column == columns || divided.ChangesIn(column) == 0)
                continue;

            var count = divided.ChangesIn(column);
            var after = changes[divided.FirstIn(column) + count - 1].Level;
            if (count == 1)
            {
                var change = changes[divided.FirstIn(column)];
                DrawChange(canvas, path, change, level, panel, uncertain);
                x = X(change.NotAfter);
            }
            else
            {
                // More than one change within a pixel: all that can be drawn is that both levels occurred. A run of such columns is a band.
                var last = column;
                while (last + 1 < columns && divided.ChangesIn(last + 1) > 1)
                    last++;
                x = X(changes[divided.FirstIn(column)].Estimate);
                path.LineTo(x, Y(panel, level));
                path.LineTo(x, Y(panel, level.Inverted()));
                path.LineTo(x, Y(panel, level));
                if (last > column)
                {
                    bands.AddRect(new(x, Y(panel, HighAt), area.Left + last + 1, Y(panel, LowAt)));
                    after = changes[divided.FirstIn(last) + divided.ChangesIn(last) - 1].Level;
                    x = area.Left + last + 1;
                    path.MoveTo(x, Y(panel, after));
                    column = last;
                }
            }
            level = after;
            path.LineTo(x, Y(panel, level));
        }
        path.LineTo(area.Right, Y(panel, level));

        // Within a gap nobody looked: no line is drawn there, whatever the levels on both sides.
        canvas.Save();
        foreach (var gap in isOverlay ? [] : gaps)
        {
            if (gap.Overlaps(view.From, view.To))
                canvas.ClipRect(new(X(gap.From), area.Top, X(gap.To), area.Bottom), SKClipOperation.Difference);
        }
        canvas.DrawPath(path, stroke);
        using var band = new SKPaint { Color = stroke.Color };
        canvas.DrawPath(bands, band);
        canvas.Restore();
    }

    /// <summary>
    /// A change is somewhere between two looks of the adapter: where that interval is wide enough to see it is shaded, with a slanted line across.
    /// </summary>
    private void DrawChange(SKCanvas canvas, SKPath path, Change change, Level before, int panel, SKPaint uncertain)
    {
        var after = X(change.After);
        var notAfter = X(change.NotAfter);
        if (notAfter - after < VisibleUncertainty)
        {
            var at = X(change.Estimate);
            path.LineTo(at, Y(panel, before));
            path.LineTo(at, Y(panel, change.Level));
            return;
        }
        canvas.DrawRect(new(after, Y(panel, HighAt), notAfter, Y(panel, LowAt)), uncertain);
        path.LineTo(after, Y(panel, before));
        path.LineTo(notAfter, Y(panel, change.Level));
    }

    /// <summary>A bar above the trace where pulses are narrower than the picture can show, at least wide enough to be seen.</summary>
    private void MarkPulses(SKCanvas canvas, int panel, float from, float to)
    {
        using var paint = new SKPaint { Color = PrintSafePalette.Black };
        var widen = Math.Max(0, (6 - (to - from)) / 2);
        var top = Y(panel, HighAt) - 6;
        canvas.DrawRect(new(from - widen, top, to + widen, top + 4), paint);
    }

    private void DrawNotes(SKCanvas canvas, Panel panel, int index, SKRect area)
    {
        var middle = Y(index, (LowAt + HighAt) / 2);
        var taken = new List<SKRect>();
        var delays = panel.Delays.Where(delay => view.Contains(delay.From) && view.Contains(delay.To)).ToList();
        foreach (var delay in delays)
            DrawDelayLine(canvas, delay, middle);
        if (panel.FirstWrong is { } mark && view.Contains(mark.At))
            taken.Add(DrawWrongMark(canvas, mark, panel.Signal, index, middle, area));
        if (panel is { Bounce: { } bounce, Signal: { } bouncing } && PlaceOf(bounce, index, area, taken) is { } inset)
        {
            DrawInset(canvas, bounce, bouncing, inset, index);
            taken.Add(inset);
        }
        foreach (var delay in delays)
            DrawDelayText(canvas, delay, index, middle, area, taken);
        foreach (var note in panel.Levels)
        {
            if (!view.Contains(note.At))
                continue;
            if (PlaceOf(note, panel, index, middle, area, taken) is { } box)
                taken.Add(text.DrawBoxed(canvas, note.Text, box.Left, box.MidY, NoteSize, PrintSafePalette.Black, PrintSafePalette.White, PrintSafePalette.Separator));
        }
    }

    /// <summary>
    /// Beside the bounce, in the view of the whole exercise; null in the others, where it can be seen as it is in this one or another, or where there is no room.
    /// </summary>
    private SKRect? PlaceOf(BounceInset bounce, int panel, SKRect area, List<SKRect> taken)
    {
        const float width = 132, visible = 40, away = 14;
        var (from, to) = (X(bounce.From), X(bounce.To));
        if (view.Letter.Length > 0 || !view.Contains(bounce.From) || to - from >= visible || otherViews.Any(other => other.Contains(bounce.From) && (bounce.To - bounce.From) * 4 >= other.To - other.From))
            return null;
        var (top, bottom) = (Y(panel, 0.97), Y(panel, 0.03));
        foreach (var left in (ReadOnlySpan<float>)[to + away, from - away - width])
        {
            var box = new SKRect(left, top, left + width, bottom);
            if (box.Left >= area.Left + 2 && box.Right <= area.Right - 2 && !taken.Exists(other => other.IntersectsWith(box)))
                return box;
        }
        return null;
    }

    private void DrawInset(SKCanvas canvas, BounceInset bounce, Signal signal, SKRect box, int panel)
    {
        const float words = 13;
        using var paper = new SKPaint { Color = PrintSafePalette.White };
        using var border = new SKPaint { Color = PrintSafePalette.Black, IsStroke = true, StrokeWidth = 1 };
        using var stroke = TraceStroke(wrong: false);
        stroke.StrokeWidth = 1.5f;
        var place = X(bounce.From);
        canvas.DrawLine(place, Y(panel, (LowAt + HighAt) / 2), place < box.Left ? box.Left : box.Right, box.MidY, border);
        canvas.DrawRect(box, paper);
        canvas.DrawRect(box, border);
        // A tenth of it on both sides, so that the first and the last transition can be seen as such.
        var margin = (bounce.To - bounce.From).Scaled(0.1);
        var (start, length) = (bounce.From - margin, (bounce.To - bounce.From) + (margin * 2));
        float At(Instant instant) => Math.Clamp(box.Left + (float)((instant - start).ToSeconds() / length.ToSeconds() * box.Width), box.Left, box.Right);
        float Height(Level level) => level == Level.High ? box.Top + words + 6 : box.Bottom - 5;
        var shown = signal.Changes.Where(change => change.Estimate > start && change.Estimate < start + length).ToList();
        var level = signal.LevelAt(start);
        using var path = new SKPath();
        path.MoveTo(box.Left, Height(level));
        foreach (var change in shown)
        {
            path.LineTo(At(change.Estimate), Height(level));
            level = change.Level;
            path.LineTo(At(change.Estimate), Height(level));
        }
        path.LineTo(box.Right, Height(level));
        canvas.DrawPath(path, stroke);
        foreach (var line in text.Wrap(bounce.Words, box.Width - 4, 10, 1))
            text.Draw(canvas, line, box.Left + 3, box.Top + words - 2, 10, PrintSafePalette.Black);
    }

    /// <summary>
    /// A reading stands beside the gap that it was taken in, at the trace's own level, where it hides no edge; else on the gap.
    /// </summary>
    private SKRect? PlaceOf(LevelNote note, Panel panel, int index, float middle, SKRect area, List<SKRect> taken)
    {
        var box = text.Box(note.Text, 0, middle, NoteSize);
        var gap = gaps.FirstOrDefault(gap => gap.Overlaps(note.At, note.At + new Duration(1)));
        var left = X(gap is null ? note.At : Instant.Max(gap.From, view.From));
        var right = X(gap is null ? note.At : Instant.Min(gap.To, view.To));
        var wanted = panel.Signal?.LevelAt(note.At) switch
        {
            Level.High => Y(index, HighAt) + (box.Height / 2) + 4,
            Level.Low => Y(index, LowAt) - (box.Height / 2) - 4,
            _ => middle,
        };
        foreach (var x in (ReadOnlySpan<float>)[left - box.Width - 3, right + 3])
        {
            var beside = SKRect.Create(x, wanted - (box.Height / 2), box.Width, box.Height);
            if (x >= area.Left && beside.Right <= area.Right && (panel.Signal is null || !HasChangeWithin(panel.Signal, x, beside.Right))
                && !taken.Exists(other => other.IntersectsWith(beside)))
                return beside;
        }
        var centred = Math.Clamp(((left + right) / 2) - (box.Width / 2), area.Left + 2, Math.Max(area.Left + 2, area.Right - box.Width - 2));
        return FreePlace(taken, centred, box.Width, middle, box.Height, index) is { } place
            ? SKRect.Create(centred, place - (box.Height / 2), box.Width, box.Height)
            : null;
    }

    /// <summary>The panel's middle, or above or below it where something is written already; null when all three are taken.</summary>
    private float? FreePlace(List<SKRect> taken, float left, float width, float middle, float height, int panel)
    {
        foreach (var place in (ReadOnlySpan<float>)[middle, Y(panel, 0.94) + (height / 2), Y(panel, 0.04) - (height / 2)])
        {
            var box = SKRect.Create(left, place - (height / 2), width, height);
            if (!taken.Exists(other => other.IntersectsWith(box)))
                return place;
        }
        return null;
    }

    private SKRect DrawWrongMark(SKCanvas canvas, WrongMark mark, Signal? signal, int panel, float middle, SKRect area)
    {
        const float size = 12.5f;
        // A cross, not only a colour.
        const float arm = 6;
        var x = X(mark.At);
        using var pen = new SKPaint { Color = PrintSafePalette.Vermillion, IsStroke = true, StrokeWidth = 2.5f, IsAntialias = true };
        canvas.DrawLine(x - arm, middle - arm, x + arm, middle + arm, pen);
        canvas.DrawLine(x - arm, middle + arm, x + arm, middle - arm, pen);

        var words = text.Wrap(mark.Text, area.Width - 12, size, 1, bold: true)[0];
        var box = text.Box(words, 0, middle, size, bold: true);
        var right = SKRect.Create(x + arm + 4, box.Top, box.Width, box.Height);
        var left = SKRect.Create(x - arm - 4 - box.Width, box.Top, box.Width, box.Height);
        // Beside the cross where no edge of the trace runs through the words; else below the trace.
        var bottom = SKRect.Create(Math.Clamp(x + arm + 4, area.Left, area.Right - box.Width), Y(panel, 0.01) - box.Height, box.Width, box.Height);
        var place = Array.Find([right, left], candidate =>
            candidate.Left >= area.Left && candidate.Right <= area.Right && (signal is null || !HasChangeWithin(signal, candidate.Left - 3, candidate.Right + 3)));
        place = place.IsEmpty ? bottom : place;
        return text.DrawBoxed(canvas, words, place.Left, place.MidY, size, PrintSafePalette.Black, PrintSafePalette.White, PrintSafePalette.Vermillion, bold: true);
    }

    private bool HasChangeWithin(Signal signal, float left, float right)
    {
        var width = X(view.To) - X(view.From);
        Instant At(float x) => view.From + (view.To - view.From).Scaled(Math.Clamp((x - X(view.From)) / width, 0, 1));
        return EdgeColumns.Divide(signal.Changes.AsSpan(), At(left), At(right) + new Duration(1), 1).ChangesIn(0) > 0;
    }

    private bool HasWidth(DelayNote delay) => X(delay.To) - X(delay.From) >= 8;

    private void DrawDelayLine(SKCanvas canvas, DelayNote delay, float middle)
    {
        if (!HasWidth(delay))
            return;
        using var pen = new SKPaint { Color = PrintSafePalette.Black, IsStroke = true, StrokeWidth = 1.2f, IsAntialias = true };
        foreach (var end in (ReadOnlySpan<float>)[X(delay.From), X(delay.To)])
            canvas.DrawLine(end, middle - 5, end, middle + 5, pen);
        canvas.DrawLine(X(delay.From), middle, X(delay.To), middle, pen);
    }

    private void DrawDelayText(SKCanvas canvas, DelayNote delay, int panel, float middle, SKRect area, List<SKRect> taken)
    {
        // In the view of the whole exercise a delay of microseconds has no width; its number belongs where it can be seen.
        if (delay.Text.Length == 0 || (view.Letter.Length == 0 && !HasWidth(delay)))
            return;
        var box = text.Box(delay.Text, 0, middle, NoteSize);
        // Clear of the transition's own interval, to its right if there is room, else left of the cause, else between the two.
        var to = X(delay.To);
        var clear = 6 + ((X(delay.To + delay.Uncertainty) - to) / 2);
        var before = X(delay.From) - clear - box.Width;
        var left = to + clear + box.Width <= area.Right ? to + clear
            : before >= area.Left ? before
            : Math.Clamp(((X(delay.From) + to) / 2) - (box.Width / 2), area.Left + 2, area.Right - box.Width - 2);
        if (FreePlace(taken, left, box.Width, middle, box.Height, panel) is { } place)
            taken.Add(text.DrawBoxed(canvas, delay.Text, left, place, NoteSize, PrintSafePalette.Black, PrintSafePalette.White));
    }
}
