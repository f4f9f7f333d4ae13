using System.Collections.Immutable;

namespace TestRig.Core.Diagnosing.Reasoning;

/// <summary>
/// Weighs each fault by itself that may have a hand in what surprises. A prediction is dear: those that cannot be among the best, by the experiments that they do not concern, are predicted only when
/// several faults at once have to be put together.
/// </summary>
internal sealed class SingleFaults<TFault>
    where TFault : notnull
{
    /// <summary>Logarithm of a likelihood ratio (10^11) that a closer look hardly makes up for.</summary>
    private const double FarBehind = 25;

    /// <summary>So many of the best are looked at closely, however far behind: with a wire between two stages one threshold decides of all that is behind it.</summary>
    private const int Foremost = 8;

    private readonly IFaultModel<TFault> _model;
    private readonly SearchLimits _limits;
    private readonly Reasoner<TFault> _reasoner;
    private readonly Outcomes _seen;
    private readonly IPartialForecasts<TFault>? _partly;
    private readonly Outcomes _covered;

    /// <summary>By what each can explain at most, those that can explain most in front.</summary>
    private readonly Queue<(double AtMost, ImmutableArray<TFault> Faults)> _open;

    /// <summary>Those that fell behind in a part.</summary>
    private readonly List<TFault> _behind = [];
    private readonly ImmutableArray<Shown> _surprising;
    private double _best = double.NegativeInfinity;

    /// <param name="surprising">Experiments that came out as they do not where nothing is wrong.</param>
    public SingleFaults(IFaultModel<TFault> model, SearchLimits limits, Reasoner<TFault> reasoner, Outcomes seen, ImmutableArray<int> surprising)
    {
        (_model, _limits, _reasoner, _seen) = (model, limits, reasoner, seen);
        All = surprising.IsEmpty ? model.Faults : [.. model.Faults.Where(fault => surprising.Any(experiment => model.Concerns(fault, experiment)))];
        _surprising = [.. seen.All.Where(shown => surprising.Contains(shown.Experiment))];
        _partly = surprising.IsEmpty ? null : model.Partly(surprising);
        _covered = _partly is null ? Outcomes.None : Outcomes.Of(seen.All.Where(shown => _partly.Covers(shown.Experiment)));
        _open = new(All
            .GroupBy(fault => surprising.Where(experiment => !model.Concerns(fault, experiment)).Sum(experiment => reasoner.Evidence(experiment, predicted: false)))
            .OrderByDescending(same => same.Key)
            .Select(same => (same.Key, same.ToImmutableArray())));
    }

    public ImmutableArray<TFault> All { get; }

    public int Count => All.Length;

    /// <summary>All that can be among the best.</summary>
    public ImmutableArray<Explanation<TFault>> First()
    {
        var weighed = new List<Explanation<TFault>>();
        while (_open.TryPeek(out var next) && next.AtMost > _best - FarBehind)
            weighed.AddRange(Weighed(_open.Dequeue().Faults));
        return Closely(weighed);
    }

    /// <summary>Of those that are left, all that explain anything: they can be one of several.</summary>
    public ImmutableArray<Explanation<TFault>> Rest()
    {
        ImmutableArray<TFault> left = [.. _behind, .. _open.SelectMany(next => next.Faults)];
        _behind.Clear();
        _open.Clear();
        if (_partly is null)
            return [.. Wholly(left)];
        _partly.Foresee(left);
        return [.. Wholly([.. left.Where(Explains)])];
    }

    /// <summary>What speaks against a fault in some experiments speaks against it in all: those that fall behind in a part are not weighed further.</summary>
    private List<Explanation<TFault>> Weighed(ImmutableArray<TFault> faults)
    {
        if (_partly is null)
            return Wholly(faults);
        _partly.Foresee(faults);
        var weighed = new List<Explanation<TFault>>();
        foreach (var next in faults
            .Select(fault => (Fault: fault, AtMost: _reasoner.Weigh(_partly.Predict(fault), [fault], _covered).LogLikelihood))
            .OrderByDescending(entry => entry.AtMost)
            .Chunk(_limits.LookedAtClosely))
        {
            ImmutableArray<TFault> these = [.. next.Select(entry => entry.Fault)];
            if (weighed.Count > 0 && next[0].AtMost <= _best - FarBehind)
                _behind.AddRange(these);
            else
                weighed.AddRange(Wholly(these));
        }
        return weighed;
    }

    private bool Explains(TFault fault) => _surprising.Any(shown => _partly!.Covers(shown.Experiment) ? _partly.Predict(fault).Any(shown.Fits) : _model.Concerns(fault, shown.Experiment));

    private List<Explanation<TFault>> Wholly(ImmutableArray<TFault> faults)
    {
        _model.Foresee([.. faults.Select(fault => (ImmutableArray<TFault>)[fault])]);
        var weighed = faults.Select(fault => _reasoner.Weigh(_model.Predict([fault]), [fault], _seen)).ToList();
        _best = weighed.Select(explanation => explanation.LogLikelihood).Append(_best).Max();
        return weighed;
    }

    /// <summary>The best are looked at more closely: what a nominal specimen shows need not be what this one does.</summary>
    private ImmutableArray<Explanation<TFault>> Closely(List<Explanation<TFault>> weighed)
    {
        var ranked = weighed.OrderByDescending(explanation => explanation.LogLikelihood).ToList();
        var contenders = ranked.Take(_limits.LookedAtClosely)
            .Where((explanation, place) => explanation.Misfits > 0 && (place < Foremost || explanation.LogLikelihood > _best - FarBehind))
            .ToHashSet();
        _model.ForeseeClosely([.. contenders.Select(explanation => explanation.Faults)]);
        return [.. ranked.Select(explanation => contenders.Contains(explanation) ? _reasoner.Weigh(explanation.Faults, _seen) : explanation)];
    }
}
