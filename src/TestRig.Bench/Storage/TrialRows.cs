using TestRig.Core.Trials;

namespace TestRig.Bench.Storage;

/// <summary>Parts of a trial: what was measured, and nothing that is concluded from it.</summary>
internal static class TrialRows
{
    public static async Task AddAsync(StoreLink link, long run, int session, TriedPart part)
    {
        await link.ExecuteAsync(
            """
            insert into trial_part (run_key, number, session, started_ticks, started_offset, took_ticks, silent, words)
            values (@Run, @Number, @Session, @Ticks, @Offset, @Took, @Silent, @Words)
            """,
            new
            {
                Run = run,
                Number = (long)part.Number,
                Session = (long)session,
                Ticks = part.Started.UtcTicks,
                Offset = StoredInstant.Offset(part.Started),
                Took = part.Took.Ticks,
                Silent = part.Measured is { } measured ? measured.Delays.IsSilent ? 1L : 0L : (long?)null,
                part.Measured?.Delays.Words,
            });
        foreach (var (quantity, value) in part.Measured is { } all ? QuantitiesOf(all) : [])
        {
            if (value is null)
                continue;
            await link.ExecuteAsync(
                """
                insert into trial_value (run_key, part, quantity, value, standard_uncertainty, expanded_uncertainty, at_least)
                values (@Run, @Part, @Quantity, @Value, @Standard, @Expanded, @AtLeast)
                """,
                new
                {
                    Run = run,
                    Part = (long)part.Number,
                    Quantity = quantity.ToString(),
                    value.Value,
                    Standard = value.StandardUncertainty,
                    value.Expanded,
                    AtLeast = value.AtLeast ? 1L : 0L,
                });
        }
    }

    /// <summary>In order.</summary>
    public static async Task<IReadOnlyList<TriedPart>> ReadAsync(StoreLink link, long run)
    {
        var values = (await link.RowsAsync<ValueRow>(
            $"""
            select
                part as {nameof(ValueRow.Part)}, quantity as {nameof(ValueRow.Quantity)}, value as {nameof(ValueRow.Value)}, standard_uncertainty as {nameof(ValueRow.Standard)},
                expanded_uncertainty as {nameof(ValueRow.Expanded)}, at_least as {nameof(ValueRow.AtLeast)}
            from trial_value where run_key = @Run
            """,
            new { Run = run })).ToLookup(row => row.Part);
        var parts = await link.RowsAsync<PartRow>(
            $"""
            select
                number as {nameof(PartRow.Number)}, started_ticks as {nameof(PartRow.StartedTicks)}, started_offset as {nameof(PartRow.StartedOffset)}, took_ticks as {nameof(PartRow.TookTicks)},
                silent as {nameof(PartRow.Silent)}, words as {nameof(PartRow.Words)}
            from trial_part where run_key = @Run order by number
            """,
            new { Run = run });
        return parts.ConvertAll(part => new TriedPart(
            (int)part.Number, StoredInstant.Of(part.StartedTicks, part.StartedOffset), new(part.TookTicks),
            part.Silent is { } silent ? MeasuredOf(part, silent != 0, values[part.Number].ToDictionary(row => StoredWord.Read<TrialQuantity>(row.Quantity), EstimateOf)) : null));
    }

    private static (TrialQuantity Quantity, Estimate? Value)[] QuantitiesOf(PartMeasurement measured) =>
    [
        (TrialQuantity.LedCurrent, measured.Figures.LedCurrent), (TrialQuantity.LedForward, measured.Figures.LedForward), (TrialQuantity.TransferRatio, measured.Figures.TransferRatio),
        (TrialQuantity.Leakage, measured.Figures.Leakage), (TrialQuantity.OnDelay, measured.Delays.On), (TrialQuantity.OffDelay, measured.Delays.Off),
    ];

    private static PartMeasurement MeasuredOf(PartRow part, bool silent, Dictionary<TrialQuantity, Estimate> values)
    {
        Estimate Always(TrialQuantity quantity) => values.GetValueOrDefault(quantity) ?? throw new InvalidDataException($"part {part.Number} of a trial has no {quantity}");
        return new(
            new(Always(TrialQuantity.LedCurrent), values.GetValueOrDefault(TrialQuantity.LedForward), values.GetValueOrDefault(TrialQuantity.TransferRatio), Always(TrialQuantity.Leakage)),
            new(values.GetValueOrDefault(TrialQuantity.OnDelay), values.GetValueOrDefault(TrialQuantity.OffDelay), silent, part.Words ?? ""));
    }

    private static Estimate EstimateOf(ValueRow row) => new(row.Value, row.Standard, row.AtLeast != 0) { Expanded = row.Expanded };

    private sealed class PartRow
    {
        public long Number { get; init; }

        public long StartedTicks { get; init; }

        public long StartedOffset { get; init; }

        public long TookTicks { get; init; }

        public long? Silent { get; init; }

        public string? Words { get; init; }
    }

    private sealed class ValueRow
    {
        public long Part { get; init; }

        public string Quantity { get; init; } = "";

        public double Value { get; init; }

        public double Standard { get; init; }

        public double Expanded { get; init; }

        public long AtLeast { get; init; }
    }
}
