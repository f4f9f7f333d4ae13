using TestRig.Bench.Serving;

namespace TestRig.Service;

/// <summary>What somebody asks of a bench with the form of its page. Entries of what is not asked for are left out, not errors.</summary>
internal sealed record BenchForm
{
    /// <summary>By which it is known, should it be sent twice.</summary>
    public string? Wish { get; init; }

    public JobKind Kind { get; init; }

    /// <summary>Of a soak.</summary>
    public string? Length { get; init; }

    /// <summary>Of guided probing.</summary>
    public string? Channel { get; init; }

    public string? Serial { get; init; }

    public bool Fast { get; init; }

    public bool Motion { get; init; }

    /// <summary>The run to go on with.</summary>
    public string? Resume { get; init; }

    public JobWish ToWish() => Kind switch
    {
        JobKind.Soak when Resume is not null => new(Kind, Resume: Resume),
        JobKind.Soak => new(Kind, For: string.IsNullOrWhiteSpace(Length) ? null : Length, Fast: Fast, Motion: Motion, Serial: Serial),
        JobKind.Probe => new(Kind, Channel: Channel, Motion: Motion),
        _ => new(Kind, Fast: Fast, Motion: Motion, Serial: Serial),
    };
}
