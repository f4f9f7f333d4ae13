namespace TestRig.Bench.Simulation;

/// <summary>One node of the board: everything that is joined by copper, solder, or a bridge that should not be there.</summary>
internal sealed class Net
{
    private readonly List<Branch> _branches = [];
    private readonly List<Action> _listeners = [];

    /// <summary>Against the ground of the net's own side; null while nothing drives it.</summary>
    public double? Volts { get; private set; }

    public Branch Join(Drive? drive)
    {
        var branch = new Branch(this, drive);
        _branches.Add(branch);
        Settle();
        return branch;
    }

    /// <summary>Called after each change of the voltage.</summary>
    public void Listen(Action listener) => _listeners.Add(listener);

    /// <summary>Works the voltage out again. Wires are short: it is there at once.</summary>
    public void Settle()
    {
        var before = Volts;
        Volts = Balance();
        if (Volts == before)
            return;
        foreach (var listener in _listeners)
            listener();
    }

    private double? Balance()
    {
        Span<Drive> room = _branches.Count <= 16 ? stackalloc Drive[16] : new Drive[_branches.Count];
        var count = 0;
        foreach (var branch in _branches)
        {
            if (branch.Drive is { } drive)
                PutInOrder(room, count++, drive);
        }
        if (count == 0)
            return null;
        ReadOnlySpan<Drive> drives = room[..count];
        // The current into the net falls as its voltage rises, in straight pieces between the voltages of the drives: the one piece with its
        // zero is where the net settles.
        for (var piece = 0; piece + 1 < drives.Length; piece++)
        {
            double from = drives[piece].Volts, to = drives[piece + 1].Volts;
            if (Current(drives, to) > 0)
                continue;
            var (conductance, sum) = (0.0, 0.0);
            foreach (var drive in drives)
            {
                if ((drive.Flow == Flow.IntoNet && drive.Volts < to) || (drive.Flow == Flow.OutOfNet && drive.Volts >= to))
                    continue;
                conductance += 1 / drive.Ohms;
                sum += drive.Volts / drive.Ohms;
            }
            return Math.Clamp(sum / conductance, from, to);
        }
        return drives[^1].Volts;
    }

    /// <summary>By voltage; of equal ones the first to come stays in front.</summary>
    private static void PutInOrder(Span<Drive> drives, int count, Drive drive)
    {
        var place = count;
        for (; place > 0 && drives[place - 1].Volts > drive.Volts; place--)
            drives[place] = drives[place - 1];
        drives[place] = drive;
    }

    private static double Current(ReadOnlySpan<Drive> drives, double volts)
    {
        var current = 0.0;
        foreach (var drive in drives)
        {
            if (drive.Flow == Flow.Both || (drive.Volts > volts) == (drive.Flow == Flow.IntoNet))
                current += (drive.Volts - volts) / drive.Ohms;
        }
        return current;
    }
}
